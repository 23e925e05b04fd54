-- The offers once more, by supplier: a price list is held against those of one alone.
INSERT INTO supplier_offer
SELECT supplier, part, cost, list_price, valid_from, valid_to, order_days, supplier_number
FROM offer
ORDER BY supplier, part, valid_from;
