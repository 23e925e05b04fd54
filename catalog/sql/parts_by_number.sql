SELECT number, family, description, maker, universal, discontinued, replaced_by, sold_as
FROM part
WHERE number IN $numbers::VARCHAR[];
