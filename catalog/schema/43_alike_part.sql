CREATE INDEX alike_part ON alike (part);
