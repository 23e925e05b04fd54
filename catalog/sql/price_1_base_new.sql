-- Every part: for the first list of a supplier of whom no offer holds.
CREATE OR REPLACE TEMP MACRO price_base(whose, day) AS TABLE
SELECT number AS part, false AS held, NULL::DECIMAL(10, 2) AS cost,
       NULL::DECIMAL(10, 2) AS list_price, NULL::INTEGER AS order_days,
       NULL::VARCHAR AS supplier_number
FROM part
WHERE whose IS NOT NULL AND day IS NOT NULL;
