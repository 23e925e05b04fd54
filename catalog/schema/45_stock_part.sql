CREATE INDEX stock_part ON stock (part);
