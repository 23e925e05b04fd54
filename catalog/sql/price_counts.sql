SELECT kind, count(*) AS rows FROM price_judged GROUP BY kind;
