-- All offers once the list holds: what its supplier asked until then ends.
CREATE TEMP VIEW price_offer AS
WITH unclear AS (
    -- What a rejected row names keeps the price that it had.
    SELECT trim(number) AS part FROM price_row WHERE reason IS NOT NULL AND number IS NOT NULL
      AND trim(number) NOT IN (SELECT part FROM price_judged
                               WHERE kind NOT IN ('rejected', 'vanished') AND part IS NOT NULL)
    UNION
    -- A list of a part of the range says nothing of the rest.
    SELECT part FROM price_judged WHERE kind = 'vanished' AND getvariable('partial')
), marked AS (
    SELECT offer.*, offer.supplier = getvariable('supplier') AND unclear.part IS NULL AS ends
    FROM base.offer LEFT JOIN (SELECT DISTINCT part FROM unclear) AS unclear ON unclear.part = offer.part
)
SELECT part, supplier, cost, list_price, valid_from,
       CASE WHEN ends AND (valid_to IS NULL OR valid_to >= getvariable('holds_from'))
            THEN getvariable('holds_from')::DATE - 1 ELSE valid_to END AS valid_to,
       order_days, supplier_number, notice
FROM marked
WHERE NOT ends OR valid_from < getvariable('holds_from')
UNION ALL
SELECT part, getvariable('supplier'), cost, list_price, getvariable('holds_from')::DATE, NULL,
       order_days, supplier_number, ''
FROM price_judged
WHERE kind NOT IN ('rejected', 'vanished');
