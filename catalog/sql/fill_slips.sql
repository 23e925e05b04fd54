INSERT INTO slip
WITH left_out AS (
    SELECT folded, place, unnest(range(0, len(folded) + 1)) AS gone
    FROM known_number
    WHERE len(folded) >= 4
)
SELECT DISTINCT
       CASE WHEN gone = 0 THEN md5_number_lower(folded)
            ELSE md5_number_lower(left(folded, gone - 1) || substr(folded, gone + 1))
       END::UBIGINT AS letters,
       place
FROM left_out
ORDER BY letters, place;
