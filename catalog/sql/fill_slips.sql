INSERT INTO slip
WITH once AS (
    SELECT folded, min(place) AS place FROM known_number WHERE len(folded) >= 4 GROUP BY folded
), left_out AS (
    SELECT folded, place, unnest(range(0, len(folded) + 1)) AS gone FROM once
)
SELECT DISTINCT
       CASE WHEN gone = 0 THEN md5_number_lower(folded)
            ELSE md5_number_lower(left(folded, gone - 1) || substr(folded, gone + 1))
       END::UBIGINT AS letters,
       place
FROM left_out
ORDER BY letters, place;
