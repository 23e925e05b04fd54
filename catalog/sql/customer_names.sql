-- What a customer reads of the catalog as it stands there: names, and why each is asked for.
SELECT name FROM operation
UNION
SELECT name FROM replacement_heater
UNION
SELECT name FROM site_item
UNION
SELECT because FROM site_item
UNION
SELECT split_part(name, ', ', 1) FROM incentive
UNION
SELECT split_part(description, ', ', 1) FROM part
ORDER BY name
LIMIT 2000;
