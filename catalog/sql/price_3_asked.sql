CREATE OR REPLACE TEMP TABLE price_asked AS
SELECT line, trim(number) AS number, cost, list_price, order_days, supplier_number
FROM price_line
WHERE reason IS NULL AND ($every OR place IN (SELECT unnest(places) FROM price_compared));
