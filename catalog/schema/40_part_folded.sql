CREATE INDEX part_folded ON part (folded);
