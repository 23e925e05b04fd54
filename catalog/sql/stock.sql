SELECT part, place, place_kind, pieces
FROM stock
WHERE part IN $numbers::VARCHAR[] AND (place_kind = 'branch' OR place = $van);
