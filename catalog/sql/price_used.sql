-- What the list does to the parts asked for: changed, new with this supplier, or vanished.
WITH asked AS (
    SELECT unnest($parts::VARCHAR[]) AS part
), fresh AS (
    SELECT part, cost, list_price, order_days
    FROM price_judged
    WHERE kind = 'new'
    UNION ALL
    SELECT base.part, named.cost, named.list_price, coalesce(named.order_days, 7) AS order_days
    FROM price_row AS named
    JOIN price_base($supplier, $holds_from::DATE) AS base ON base.part = named.number
    WHERE $compared AND NOT base.held AND named.reason IS NULL
      AND named.number IN (SELECT part FROM asked)
), gone AS (
    -- What a rejected row names has not vanished.
    SELECT DISTINCT part
    FROM price_judged
    WHERE kind = 'vanished'
      AND part NOT IN (SELECT trim(number) FROM price_row
                       WHERE reason IS NOT NULL AND number IS NOT NULL)
)
SELECT 'changed' AS kind, part, cost_before, cost, list_price, order_days
FROM price_changed SEMI JOIN asked USING (part)
UNION ALL
SELECT 'new', part, NULL, (cost * 100)::BIGINT, (list_price * 100)::BIGINT, order_days
FROM fresh SEMI JOIN asked USING (part)
UNION ALL
SELECT 'vanished', part, NULL, NULL, NULL, NULL
FROM gone SEMI JOIN asked USING (part)
ORDER BY part;
