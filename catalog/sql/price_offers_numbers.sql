-- Suppliers' numbers that come or go with the list: without any, what a search reads stays.
WITH named AS (
    SELECT DISTINCT supplier_number AS number, part, supplier AS whose
    FROM price_offer WHERE supplier_number IS NOT NULL
), held AS (
    SELECT number, part, whose FROM base.known_number WHERE kind = 'supplier'
)
SELECT (SELECT count(*) FROM (FROM named EXCEPT FROM held))
     + (SELECT count(*) FROM (FROM held EXCEPT FROM named)) AS numbers;
