CREATE TEMP TABLE price_joined AS
WITH named AS (
    SELECT row.line, row.number, row.cost, row.list_price, row.order_days, row.supplier_number,
           coalesce(row.part, named.part) AS part, coalesce(row.place, named.place) AS place,
           coalesce(named.several, false) AS several
    FROM price_row AS row LEFT JOIN price_named AS named ON named.line = row.line
    WHERE row.reason IS NULL
), held AS (
    SELECT part, cost, list_price, order_days, supplier_number, valid_from
    FROM offer
    WHERE supplier = $supplier AND valid_from <= $holds_from::DATE
      AND (valid_to IS NULL OR valid_to >= $holds_from::DATE)
)
SELECT named.line, named.number, named.place, named.several,
       coalesce(named.part, held.part) AS part, named.cost,
       -- A week where nobody says: common practice, no source.
       coalesce(named.order_days, held.order_days, 7) AS order_days,
       CASE WHEN $tells_list_price THEN named.list_price
            ELSE held.list_price END AS list_price,
       CASE WHEN $tells_supplier_number THEN named.supplier_number
            ELSE held.supplier_number END AS supplier_number,
       held.part IS NOT NULL AS known, held.valid_from, held.cost AS cost_before,
       held.list_price AS list_before, held.order_days AS days_before,
       held.supplier_number AS supplier_number_before
FROM named FULL OUTER JOIN held ON held.part = named.part;
