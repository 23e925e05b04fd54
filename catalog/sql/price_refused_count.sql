SELECT count(*) AS rows, coalesce(min(line), 0) AS first, coalesce(sum(errors), 0) AS errors
FROM price_refused;
