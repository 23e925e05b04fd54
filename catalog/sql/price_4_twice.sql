CREATE TEMP TABLE price_twice AS
SELECT place, min(line) AS first
FROM price_joined
WHERE line IS NOT NULL AND place IS NOT NULL AND ($all_rows OR NOT known)
GROUP BY place
HAVING count(DISTINCT line) > 1;
