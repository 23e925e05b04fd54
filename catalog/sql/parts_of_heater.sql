SELECT number, family, description, maker, universal, discontinued, replaced_by, sold_as
FROM part
WHERE number IN (SELECT part FROM listed WHERE heater_family = $heater_family);
