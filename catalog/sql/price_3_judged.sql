CREATE TEMP TABLE price_judged AS
WITH once AS (
    SELECT part, min(line) AS first FROM price_part WHERE part IS NOT NULL GROUP BY part
), before AS (
    SELECT part, arg_max(cost, valid_from) AS cost,
           arg_max_null(list_price, valid_from) AS list_price,
           arg_max(order_days, valid_from) AS order_days,
           arg_max_null(supplier_number, valid_from) AS supplier_number
    FROM offer
    WHERE supplier = getvariable('supplier') AND valid_from <= getvariable('holds_from')
      AND (valid_to IS NULL OR valid_to >= getvariable('holds_from'))
    GROUP BY part
), against AS (
    SELECT price_part.* EXCLUDE (order_days, list_price, supplier_number),
           -- A week where nobody says: common practice, no source.
           coalesce(price_part.order_days, before.order_days, 7) AS order_days,
           CASE WHEN getvariable('tells_list_price') THEN price_part.list_price
                ELSE before.list_price END AS list_price,
           CASE WHEN getvariable('tells_supplier_number') THEN price_part.supplier_number
                ELSE before.supplier_number END AS supplier_number,
           before.part IS NOT NULL AS known, before.cost AS cost_before,
           before.list_price AS list_before, before.order_days AS days_before,
           before.supplier_number AS supplier_number_before, once.first
    FROM price_part
    LEFT JOIN once ON once.part = price_part.part
    LEFT JOIN before ON before.part = price_part.part
)
SELECT line, number, part, cost, list_price, order_days, supplier_number, cost_before, list_before,
       CASE WHEN several OR part IS NULL OR first <> line THEN 'rejected'
            WHEN NOT known THEN 'new'
            WHEN cost <> cost_before OR list_price IS DISTINCT FROM list_before
              OR order_days <> days_before
              OR supplier_number IS DISTINCT FROM supplier_number_before THEN 'changed'
            ELSE 'same' END AS kind,
       CASE WHEN several THEN 'number ' || number || ' may mean several parts; write it as the maker does'
            WHEN part IS NULL THEN 'number ' || number || ' is not in the catalog'
            WHEN first <> line THEN part || ' is there already in row ' || first || '; keep one'
       END AS reason
FROM against;
