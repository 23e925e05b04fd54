CREATE TEMP TABLE price_part AS
WITH exact AS (
    SELECT price_row.* EXCLUDE (reason), part.number AS part
    FROM price_row LEFT JOIN part ON part.number = price_row.number
    WHERE reason IS NULL
), named AS (
    SELECT folded, min(part) AS part, count(DISTINCT part) AS parts
    FROM known_number
    WHERE folded IN (SELECT folded FROM exact WHERE part IS NULL)
      AND (kind <> 'supplier' OR whose = getvariable('supplier'))
    GROUP BY folded
)
SELECT exact.* EXCLUDE (part, folded), coalesce(exact.part, named.part) AS part,
       exact.part IS NULL AND coalesce(named.parts, 0) > 1 AS several
FROM exact
LEFT JOIN named ON exact.part IS NULL AND named.folded = exact.folded;
