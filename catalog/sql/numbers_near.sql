SELECT folded, number, part, kind, whose
FROM known_number
WHERE folded IN (
    SELECT near.folded
    FROM known_number AS near
    WHERE near.place IN (SELECT place FROM slip WHERE letters IN $letters)
);
