SELECT DISTINCT part, alike
FROM alike
WHERE part IN $numbers::VARCHAR[]
ORDER BY part, alike;
