CREATE TEMP TABLE price_judged AS
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
            WHEN first <> joined.line THEN part || ' is there already in row ' || first || '; keep one'
       END AS reason
FROM price_joined AS joined
LEFT JOIN price_twice AS twice ON twice.place = joined.place
LEFT JOIN price_latest AS latest ON latest.line = joined.line
WHERE latest.last IS NULL OR joined.valid_from = latest.last;
