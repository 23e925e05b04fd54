SELECT folded, number, part, kind, whose
FROM known_number
WHERE folded >= $first AND folded < $beyond
ORDER BY place
LIMIT $most;
