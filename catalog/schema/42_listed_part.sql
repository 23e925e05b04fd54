CREATE INDEX listed_part ON listed (part);
