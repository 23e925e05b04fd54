SELECT DISTINCT part
FROM price_judged
WHERE kind = 'vanished'
  AND part NOT IN (SELECT part FROM price_row WHERE reason IS NOT NULL AND part IS NOT NULL)
ORDER BY part;
