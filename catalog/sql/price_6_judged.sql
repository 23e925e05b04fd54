CREATE OR REPLACE TEMP TABLE price_judged AS
WITH twice AS (
    SELECT part, min(line) AS first
    FROM price_joined
    WHERE line IS NOT NULL AND NOT several
    GROUP BY part
    HAVING count(*) > 1
)
SELECT joined.line, number, joined.part, cost, list_price, order_days, supplier_number,
       cost_before, list_before,
       CASE WHEN joined.line IS NULL THEN 'vanished'
            WHEN several OR joined.part IS NULL OR first <> joined.line THEN 'rejected'
            WHEN NOT known THEN 'new'
            WHEN cost <> cost_before OR list_price IS DISTINCT FROM list_before
              OR order_days <> days_before
              OR supplier_number IS DISTINCT FROM supplier_number_before THEN 'changed'
            ELSE 'same' END AS kind,
       CASE WHEN joined.line IS NULL THEN NULL
            WHEN coalesce(number, '') = '' THEN 'number is missing'
            WHEN joined.part IS NULL AND len(number) > 40 THEN 'number holds ' || len(number) || ' characters, at most 40'
            WHEN joined.part IS NULL AND starts_with(number, '=') THEN 'a cell holds a formula; put its value there'
            WHEN several THEN 'number ' || number || ' may mean several parts; write it as the maker does'
            WHEN joined.part IS NULL THEN 'number ' || number || ' is not in the catalog'
            WHEN first <> joined.line THEN joined.part || ' is there already in row ' || first || '; keep one'
       END AS reason
FROM price_joined AS joined LEFT JOIN twice ON twice.part = joined.part;
