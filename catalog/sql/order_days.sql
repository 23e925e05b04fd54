SELECT part, min(order_days)::INTEGER AS order_days
FROM offer
WHERE part IN (SELECT unnest($numbers))
  AND ($on IS NULL OR (valid_from <= $on AND (valid_to IS NULL OR valid_to >= $on)))
GROUP BY part;
