CREATE OR REPLACE TEMP TABLE price_text AS
WITH refused AS (
    SELECT line - row_number() OVER (ORDER BY line) + 1 AS since,
           row_number() OVER (ORDER BY line) AS before
    FROM (SELECT DISTINCT line FROM price_refused)
), steps AS (
    SELECT since, max(before) AS before FROM refused GROUP BY since
)
SELECT price_text.* REPLACE (price_text.line + coalesce(steps.before, 0) AS line)
FROM price_text ASOF LEFT JOIN steps ON price_text.line >= steps.since;
