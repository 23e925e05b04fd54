CREATE TEMP TABLE price_named AS
WITH unread AS (
    SELECT line, translate(upper(number), 'OIL-./ ', '011') AS folded
    FROM price_row
    WHERE part IS NULL AND reason IS NULL
), named AS (
    SELECT unread.line, min(known.part) AS part, count(DISTINCT known.part) AS parts
    FROM unread JOIN known_number AS known ON known.folded = unread.folded
    WHERE known.kind <> 'supplier' OR known.whose = $supplier
    GROUP BY unread.line
)
SELECT named.line, named.parts > 1 AS several, part.number AS part, part.rowid AS place
FROM named JOIN part ON part.number = named.part;
