SELECT part, supplier, cost, list_price, valid_from, valid_to, order_days
FROM offer
WHERE part IN $numbers::VARCHAR[]
  AND ($on IS NULL OR (valid_from <= $on AND (valid_to IS NULL OR valid_to >= $on)))
ORDER BY part, cost, order_days, supplier;
