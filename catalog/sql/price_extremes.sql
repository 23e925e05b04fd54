-- The largest rise and fall of a cost by its share, and the margin that loses most.
WITH worked AS (
    SELECT *, share_of(price_before - cost_before, price_before)
              - share_of(price - cost, price) AS margin_lost
    FROM price_changed
), rise AS (
    FROM worked WHERE cost > cost_before ORDER BY share DESC, cost - cost_before DESC, part LIMIT 1
), fall AS (
    FROM worked WHERE cost < cost_before ORDER BY share, cost - cost_before, part LIMIT 1
), worst AS (
    FROM worked WHERE margin_lost >= $point ORDER BY margin_lost DESC, part LIMIT 1
)
SELECT 'rise' AS what, part, cost_before, cost, price_before, price FROM rise
UNION ALL SELECT 'fall', part, cost_before, cost, price_before, price FROM fall
UNION ALL SELECT 'worst', part, cost_before, cost, price_before, price FROM worst;
