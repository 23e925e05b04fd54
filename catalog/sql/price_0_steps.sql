-- Rows that could not be read have no place among those read: how many lie before each.
CREATE TEMP TABLE price_step AS
WITH refused AS (
    SELECT line - row_number() OVER (ORDER BY line) + 1 AS since,
           row_number() OVER (ORDER BY line) AS before
    FROM (SELECT DISTINCT line FROM price_refused)
)
SELECT since, max(before) AS before FROM refused GROUP BY since;
