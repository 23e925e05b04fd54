SELECT line, part, cost_before, cost, list_before, list_price
FROM price_judged
WHERE kind = $kind
ORDER BY abs(coalesce(cost - cost_before, 0)) DESC, line
LIMIT $most;
