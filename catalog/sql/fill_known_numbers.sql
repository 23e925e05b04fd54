INSERT INTO known_number
WITH every AS (
    SELECT number, number AS part, 'maker' AS kind, maker AS whose FROM part
    UNION
    SELECT supplier_number, part, 'supplier', supplier FROM offer WHERE supplier_number IS NOT NULL
    UNION
    SELECT number, part, kind, whose FROM other_number
), read AS (
    SELECT translate(upper(number), 'OIL-./ ', '011') AS folded, number, part, kind, whose
    FROM every
)
SELECT row_number() OVER (ORDER BY folded, kind, number, part, whose) - 1, folded, number, part,
       kind, whose
FROM read
ORDER BY folded, kind, number, part, whose;
