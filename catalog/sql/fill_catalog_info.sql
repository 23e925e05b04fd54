INSERT INTO catalog_info
SELECT $version, $layout, $rules, (SELECT count(*) FROM part), (SELECT count(*) FROM offer);
