SELECT count(*) AS rows FROM price_row WHERE reason IS NOT NULL;
