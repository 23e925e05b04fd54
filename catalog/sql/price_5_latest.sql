CREATE TEMP TABLE price_latest AS
SELECT line, max(valid_from) AS last
FROM price_joined
WHERE $any_several AND line IS NOT NULL
GROUP BY line
HAVING count(*) > 1;
