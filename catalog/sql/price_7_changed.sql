-- Every changed row, with what it does to cost and price [cents] and to the share of the cost
-- [1/10,000]: those that the first pass settled, and those that were judged one by one.
CREATE OR REPLACE TEMP TABLE price_changed AS
WITH changed AS (
    SELECT base.part, base.cost AS cost_before, named.cost, base.list_price AS list_before,
           CASE WHEN $tells_list_price THEN named.list_price
                ELSE base.list_price END AS list_price,
           coalesce(named.order_days, base.order_days) AS order_days
    FROM price_row AS named
    JOIN price_base($supplier, $holds_from::DATE) AS base ON base.part = named.number
    -- As the first pass tells what is changed.
    WHERE $compared AND base.held AND named.reason IS NULL
      AND (named.cost <> base.cost
           OR ($tells_list_price AND named.list_price IS DISTINCT FROM base.list_price)
           OR ($tells_order_days AND named.order_days <> base.order_days)
           OR ($tells_supplier_number
               AND named.supplier_number IS DISTINCT FROM base.supplier_number))
    UNION ALL
    SELECT part, cost_before, cost, list_before, list_price, order_days
    FROM price_judged
    WHERE kind = 'changed'
), in_cents AS (
    SELECT part, order_days, (cost_before * 100)::BIGINT AS cost_before,
           (cost * 100)::BIGINT AS cost, (list_before * 100)::BIGINT AS list_before,
           (list_price * 100)::BIGINT AS list_price
    FROM changed
)
SELECT *, price_at(cost_before, list_before) AS price_before, price_at(cost, list_price) AS price,
       share_of(cost - cost_before, cost_before) AS share
FROM in_cents;
