SELECT DISTINCT part, alike
FROM alike
WHERE part IN (SELECT unnest($numbers))
ORDER BY part, alike;
