WITH shown AS (
    SELECT kind, unnest(coalesce(first_new, first_changed), recursive := true)
    FROM price_compared
    WHERE kind = $kind
)
SELECT line, number AS part, cost_before, cost, list_before,
       CASE WHEN $tells_list_price THEN list_price ELSE list_before END AS list_price
FROM shown JOIN price_line USING (place)
ORDER BY abs(coalesce(cost - cost_before, 0)) DESC, line;
