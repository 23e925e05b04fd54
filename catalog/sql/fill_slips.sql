-- Each number whole, with each character left out, and without the letters before it: those
-- ends are told from whole numbers by a dash, for many families end alike.
INSERT INTO slip
WITH said AS (
    SELECT folded, place, len(regexp_extract(upper(number), '^[A-Z]*')) AS front
    FROM known_number
    WHERE len(folded) >= 4
), left_out AS (
    SELECT folded, place, unnest(range(0, len(folded) + 1)) AS gone
    FROM said
), text AS (
    SELECT CASE WHEN gone = 0 THEN folded
                ELSE left(folded, gone - 1) || substr(folded, gone + 1) END AS letters,
           place
    FROM left_out
    UNION ALL
    SELECT '-' || substr(folded, front + 1), place
    FROM said
    WHERE front BETWEEN 2 AND 4 AND len(folded) - front >= 4
)
SELECT DISTINCT md5_number_lower(letters)::UBIGINT AS letters, place
FROM text
ORDER BY letters, place;
