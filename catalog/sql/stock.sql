SELECT part,
       coalesce(sum(pieces) FILTER (place_kind = 'van' AND place = $van), 0)::INTEGER AS van,
       coalesce(sum(pieces) FILTER (place_kind = 'branch'), 0)::INTEGER AS branch
FROM stock
WHERE part IN $numbers::VARCHAR[]
GROUP BY part;
