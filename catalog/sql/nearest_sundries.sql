WITH offered AS (
    SELECT sundry.sundry_kind, offer.part, min(offer.cost) AS cost
    FROM sundry
    JOIN part ON part.number = sundry.number AND NOT part.discontinued
    JOIN offer ON offer.part = sundry.number
    WHERE offer.valid_from <= $on AND (offer.valid_to IS NULL OR offer.valid_to >= $on)
    GROUP BY ALL
), held AS (
    SELECT stock.part,
           coalesce(sum(pieces) FILTER (place_kind = 'van' AND place = $van), 0) AS van,
           coalesce(sum(pieces) FILTER (place_kind = 'branch'), 0) AS branch
    FROM stock JOIN sundry ON sundry.number = stock.part
    GROUP BY stock.part
)
SELECT sundry_kind, part AS number
FROM offered LEFT JOIN held USING (part)
-- What is set aside is told apart by its free pieces, so each of those is given.
QUALIFY part IN $set_aside::VARCHAR[] OR row_number() OVER (
    PARTITION BY sundry_kind, part IN $set_aside::VARCHAR[]
    ORDER BY CASE WHEN van > 0 THEN 0 WHEN branch > 0 THEN 1 ELSE 2 END, cost, part
) = 1
ORDER BY sundry_kind, part;
