SELECT line, reason FROM price_refused
UNION ALL SELECT line, reason FROM price_line WHERE reason IS NOT NULL
UNION ALL SELECT line, reason FROM price_judged WHERE reason IS NOT NULL
ORDER BY line
LIMIT $most;
