WITH asked AS (SELECT unnest($numbers) AS part),
held AS (
    SELECT part,
           sum(pieces) FILTER (place_kind = 'van' AND place = $van) AS van,
           sum(pieces) FILTER (place_kind = 'branch') AS branch
    FROM stock
    WHERE part IN (SELECT part FROM asked)
    GROUP BY part
),
ordered AS (
    SELECT part, min(order_days) AS order_days
    FROM offer
    WHERE part IN (SELECT part FROM asked)
      AND ($on IS NULL OR (valid_from <= $on AND (valid_to IS NULL OR valid_to >= $on)))
    GROUP BY part
)
SELECT asked.part,
       coalesce(held.van, 0)::INTEGER AS van,
       coalesce(held.branch, 0)::INTEGER AS branch,
       ordered.order_days
FROM asked
LEFT JOIN held ON held.part = asked.part
LEFT JOIN ordered ON ordered.part = asked.part;
