CREATE OR REPLACE TEMP TABLE price_joined AS
WITH held AS (
    SELECT part, cost, list_price, order_days, supplier_number
    FROM supplier_offer
    WHERE supplier = $supplier AND valid_from <= $holds_from::DATE
      AND (valid_to IS NULL OR valid_to >= $holds_from::DATE)
      AND ($every OR part IN (SELECT unnest(vanished) FROM price_compared))
    -- Where several hold at once, the last counts.
    QUALIFY row_number() OVER (PARTITION BY part ORDER BY valid_from DESC) = 1
)
SELECT named.line, named.number, named.several, coalesce(named.part, held.part) AS part,
       named.cost,
       -- A week where nobody says: common practice, no source.
       coalesce(named.order_days, held.order_days, 7) AS order_days,
       CASE WHEN $tells_list_price THEN named.list_price
            ELSE held.list_price END AS list_price,
       CASE WHEN $tells_supplier_number THEN named.supplier_number
            ELSE held.supplier_number END AS supplier_number,
       held.part IS NOT NULL AS known, held.cost AS cost_before,
       held.list_price AS list_before, held.order_days AS days_before,
       held.supplier_number AS supplier_number_before
FROM price_named AS named FULL OUTER JOIN held ON held.part = named.part;
