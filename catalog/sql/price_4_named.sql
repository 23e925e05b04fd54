-- The part that each row names: exactly, or as any maker, shop or this supplier writes it.
CREATE OR REPLACE TEMP TABLE price_named AS
WITH exact AS (
    SELECT asked.*, part.number AS part
    FROM price_asked AS asked LEFT JOIN part ON part.number = asked.number
), folded AS (
    SELECT line, translate(upper(number), 'OIL-./ ', '011') AS folded FROM exact WHERE part IS NULL
), read AS (
    SELECT folded.line, min(known.part) AS part, count(DISTINCT known.part) > 1 AS several
    FROM folded JOIN known_number AS known ON known.folded = folded.folded
    WHERE known.kind <> 'supplier' OR known.whose = $supplier
    GROUP BY folded.line
)
SELECT exact.* REPLACE (coalesce(exact.part, read.part) AS part),
       coalesce(read.several, false) AS several
FROM exact LEFT JOIN read ON read.line = exact.line;
