SELECT part, place, sum(pieces)::INTEGER AS pieces FROM stock GROUP BY part, place;
