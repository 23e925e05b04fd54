SELECT count(*) AS rows, coalesce(min(line), 0) AS first FROM price_refused;
