CREATE TEMP TABLE price_offer AS
SELECT part, supplier, cost, list_price, valid_from,
       CASE WHEN supplier = getvariable('supplier')
                 AND (valid_to IS NULL OR valid_to >= getvariable('holds_from'))
            THEN getvariable('holds_from')::DATE - 1 ELSE valid_to END AS valid_to,
       order_days, supplier_number, notice
FROM offer
WHERE supplier <> getvariable('supplier') OR valid_from < getvariable('holds_from')
UNION ALL
SELECT part, getvariable('supplier'), cost, list_price, getvariable('holds_from')::DATE, NULL,
       order_days, supplier_number, ''
FROM price_judged
WHERE kind <> 'rejected';
