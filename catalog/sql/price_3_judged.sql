CREATE TEMP TABLE price_judged AS
WITH named AS (
    SELECT row.line, row.number, row.cost, row.list_price, row.order_days, row.supplier_number,
           coalesce(row.part, named.part) AS part, coalesce(row.place, named.place) AS place,
           coalesce(named.several, false) AS several
    FROM price_row AS row LEFT JOIN price_named AS named ON named.line = row.line
    WHERE row.reason IS NULL
), twice AS (
    SELECT place, min(line) AS first
    FROM named WHERE place IS NOT NULL GROUP BY place HAVING count(*) > 1
), held AS (
    SELECT part, cost, list_price, order_days, supplier_number, valid_from
    FROM offer
    WHERE supplier = $supplier AND valid_from <= $holds_from::DATE
      AND (valid_to IS NULL OR valid_to >= $holds_from::DATE)
), joined AS MATERIALIZED (
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
    FROM named FULL OUTER JOIN held ON held.part = named.part
), several_held AS (
    SELECT line, max(valid_from) AS last
    FROM joined WHERE line IS NOT NULL GROUP BY line HAVING count(*) > 1
)
SELECT joined.line, number, part, cost, list_price, order_days, supplier_number, cost_before,
       list_before,
       CASE WHEN joined.line IS NULL THEN 'vanished'
            WHEN several OR part IS NULL OR first <> joined.line THEN 'rejected'
            WHEN NOT known THEN 'new'
            WHEN cost <> cost_before OR list_price IS DISTINCT FROM list_before
              OR order_days <> days_before
              OR supplier_number IS DISTINCT FROM supplier_number_before THEN 'changed'
            ELSE 'same' END AS kind,
       CASE WHEN joined.line IS NULL THEN NULL
            WHEN several THEN 'number ' || number || ' may mean several parts; write it as the maker does'
            WHEN part IS NULL THEN 'number ' || number || ' is not in the catalog'
            WHEN first <> joined.line
                THEN part || ' is there already in row ' || first || '; keep one'
       END AS reason
FROM joined
LEFT JOIN twice ON twice.place = joined.place
LEFT JOIN several_held ON several_held.line = joined.line
WHERE several_held.last IS NULL OR joined.valid_from = several_held.last;
