CREATE INDEX listed_heater_family ON listed (heater_family);
