-- All changed rows together, one piece of each: whole cents add up exactly.
WITH worked AS (
    SELECT *, share_of(price_before - cost_before, price_before)
              - share_of(price - cost, price) AS margin_lost
    FROM price_changed
)
SELECT count(*) AS rows,
       count(*) FILTER (cost > cost_before) AS rises,
       count(*) FILTER (cost < cost_before) AS falls,
       quantile_disc(share, [0.1, 0.5, 0.9]) FILTER (cost <> cost_before) AS spread,
       coalesce(sum(cost_before), 0) AS cost_before, coalesce(sum(cost), 0) AS cost,
       coalesce(sum(price_before), 0) AS price_before, coalesce(sum(price), 0) AS price,
       count(*) FILTER (margin_lost >= $point) AS margins_fall,
       count(*) FILTER (cost > price_before) AS under_cost
FROM worked;
