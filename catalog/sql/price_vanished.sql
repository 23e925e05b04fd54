-- What a rejected row names has not vanished.
SELECT DISTINCT part
FROM price_judged
WHERE kind = 'vanished'
  AND part NOT IN (SELECT trim(number) FROM price_row
                   WHERE reason IS NOT NULL AND number IS NOT NULL)
ORDER BY part;
