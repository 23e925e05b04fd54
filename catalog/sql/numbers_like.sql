-- Numbers one slip away, that have a hash in common, and the first that begin so: the table
-- lies in that order, and a snapshot is read in the order in which it lies.
SELECT folded, number, part, kind, whose
FROM known_number
WHERE place IN (SELECT place FROM slip WHERE letters IN (SELECT unnest($letters::UBIGINT[])))
UNION ALL
(
    SELECT folded, number, part, kind, whose
    FROM known_number
    WHERE folded >= $first AND folded < $beyond
    LIMIT $most
);
