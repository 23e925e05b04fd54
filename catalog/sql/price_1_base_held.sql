-- What the rows are held against: the offers of the supplier that hold on the day.
CREATE OR REPLACE TEMP MACRO price_base(whose, day) AS TABLE
SELECT part, true AS held, cost, list_price, order_days, supplier_number
FROM supplier_offer
WHERE supplier = whose AND valid_from <= day AND (valid_to IS NULL OR valid_to >= day);
