SELECT folded, number, part, kind, whose
FROM known_number
WHERE place IN (SELECT place FROM slip WHERE letters IN (SELECT unnest($letters::UBIGINT[])));
