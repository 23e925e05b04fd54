CREATE TEMP TABLE price_row AS
WITH typed AS (
    SELECT line, trim(number) AS number, cost, list_price, order_days,
           nullif(trim(supplier_number), '') AS supplier_number,
           TRY_CAST(cost AS DECIMAL(18, 4)) AS cost_4,
           TRY_CAST(list_price AS DECIMAL(18, 4)) AS list_4,
           TRY_CAST(order_days AS INTEGER) AS days
    FROM price_text
), checked AS (
    SELECT line, number, supplier_number, cost_4::DECIMAL(10, 2) AS cost,
           list_4::DECIMAL(10, 2) AS list_price, days AS order_days,
           CASE
               -- Most rows are sound rows: told by numbers alone, without a look at the words.
               WHEN cost_4 > 0 AND cost_4 < 100000 AND cost_4 = cost_4::DECIMAL(10, 2)
                AND len(number) BETWEEN 1 AND 40 AND NOT starts_with(number, '=')
                AND (list_price IS NULL OR (list_4 > 0 AND list_4 < 100000
                                            AND list_4 = list_4::DECIMAL(10, 2)))
                AND (order_days IS NULL OR days BETWEEN 0 AND 365)
                AND (supplier_number IS NULL OR len(supplier_number) <= 40) THEN NULL
               WHEN coalesce(number, '') = '' THEN 'number is missing'
               WHEN len(number) > 40 THEN 'number holds ' || len(number) || ' characters, at most 40'
               WHEN starts_with(number, '=') OR starts_with(ltrim(cost), '=') THEN 'a cell holds a formula; put its value there'
               WHEN coalesce(trim(cost), '') = '' THEN 'cost is missing'
               WHEN cost_4 IS NULL THEN 'cost is "' || left(cost, 40) || '"; it must be a number with a point'
               WHEN cost_4 <= 0 OR cost_4 >= 100000 THEN 'cost is ' || cost || '; it must be above 0 and below 100,000'
               WHEN cost_4 <> round(cost_4, 2) THEN 'cost is ' || cost || '; no more than 2 decimals'
               WHEN coalesce(trim(list_price), '') <> '' AND (list_4 IS NULL OR list_4 <= 0 OR list_4 >= 100000 OR list_4 <> round(list_4, 2))
                   THEN 'list_price is "' || left(list_price, 40) || '"; it must be an amount in dollars and cents'
               WHEN coalesce(trim(order_days), '') <> '' AND (days IS NULL OR days NOT BETWEEN 0 AND 365)
                   THEN 'order_days is "' || left(order_days, 40) || '"; it must be 0 to 365'
               WHEN len(supplier_number) > 40 THEN 'supplier_number holds ' || len(supplier_number) || ' characters, at most 40'
           END AS reason
    FROM typed
)
SELECT checked.*, part.number AS part, part.rowid AS place
FROM checked LEFT JOIN part ON part.number = checked.number;
