SELECT (SELECT count(*) FROM price_refused)
     + (SELECT count(*) FROM price_row WHERE reason IS NOT NULL)
     + (SELECT count(*) FROM price_judged WHERE reason IS NOT NULL) AS rows;
