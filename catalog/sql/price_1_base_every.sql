-- Every part, with the supplier's offer where he has one: for a list that is mostly new.
CREATE OR REPLACE TEMP MACRO price_base(whose, day) AS TABLE
SELECT part.number AS part, offer.part IS NOT NULL AS held, offer.cost, offer.list_price,
       offer.order_days, offer.supplier_number
FROM part
LEFT JOIN (SELECT * FROM supplier_offer
           WHERE supplier = whose AND valid_from <= day
             AND (valid_to IS NULL OR valid_to >= day)) AS offer ON offer.part = part.number;
