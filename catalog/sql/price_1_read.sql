-- In the order of the file: a row's place here, counted from 0, tells its line.
CREATE TEMP TABLE price_row AS
WITH typed AS (
    SELECT number, cost, list_price, order_days, supplier_number,
           TRY_CAST(cost AS DECIMAL(18, 4)) AS cost_4,
           TRY_CAST(list_price AS DECIMAL(18, 4)) AS list_4,
           TRY_CAST(order_days AS INTEGER) AS days,
           TRY_CAST(order_days AS DECIMAL(9, 3)) AS days_3  -- a cast to whole days rounds
    FROM price_text
)
SELECT number, TRY_CAST(cost_4 AS DECIMAL(10, 2)) AS cost,
       TRY_CAST(list_4 AS DECIMAL(10, 2)) AS list_price,
       days AS order_days, nullif(trim(supplier_number), '') AS supplier_number,
       CASE
           -- Most rows are sound: told by numbers alone, without a look at the words. The part
           -- number is looked at where it is not one that the catalog knows.
           WHEN cost_4 > 0 AND cost_4 < 100000 AND cost_4 = TRY_CAST(cost_4 AS DECIMAL(10, 2))
            AND (list_price IS NULL OR (list_4 > 0 AND list_4 < 100000
                                        AND list_4 = TRY_CAST(list_4 AS DECIMAL(10, 2))))
            AND (order_days IS NULL OR (days BETWEEN 0 AND 365 AND days = days_3))
            AND (supplier_number IS NULL OR strlen(supplier_number) <= 40) THEN NULL
           WHEN coalesce(trim(number), '') = '' THEN 'number is missing'
           WHEN len(trim(number)) > 40 THEN 'number holds ' || len(trim(number)) || ' characters, at most 40'
           WHEN starts_with(trim(number), '=') OR starts_with(ltrim(cost), '=') THEN 'a cell holds a formula; put its value there'
           WHEN coalesce(trim(cost), '') = '' THEN 'cost is missing'
           WHEN cost_4 IS NULL THEN 'cost is "' || left(cost, 40) || '"; it must be digits with a point, such as 12.50'
           WHEN cost_4 <= 0 OR cost_4 >= 100000 THEN 'cost is ' || cost || '; it must be above 0 and below 100,000'
           WHEN cost_4 <> round(cost_4, 2) THEN 'cost is ' || cost || '; no more than 2 decimals'
           WHEN coalesce(trim(list_price), '') <> '' AND (list_4 IS NULL OR list_4 <= 0 OR list_4 >= 100000 OR list_4 <> round(list_4, 2))
               THEN 'list_price is "' || left(list_price, 40) || '"; it must be an amount in dollars and cents'
           WHEN coalesce(trim(order_days), '') <> '' AND (days IS NULL OR days NOT BETWEEN 0 AND 365 OR days <> days_3)
               THEN 'order_days is "' || left(order_days, 40) || '"; it must be a whole number, 0 to 365'
           WHEN len(trim(supplier_number)) > 40 THEN 'supplier_number holds ' || len(trim(supplier_number)) || ' characters, at most 40'
       END AS reason
FROM typed;
