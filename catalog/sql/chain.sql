WITH RECURSIVE step AS (
    SELECT number, replaced_by, 0 AS place FROM part WHERE number = $number
    UNION ALL
    SELECT part.number, part.replaced_by, step.place + 1
    FROM step JOIN part ON part.number = step.replaced_by
    WHERE NOT EXISTS (SELECT 1 FROM part AS sold
                      WHERE sold.number = step.number AND NOT sold.discontinued)
)
SELECT number FROM step ORDER BY place;
