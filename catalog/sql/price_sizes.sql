SELECT (SELECT count(*) FROM price_row) AS rows, (SELECT count(*) FROM part) AS parts,
       (SELECT count(*) FROM supplier_offer
        WHERE supplier = $supplier AND valid_from <= $holds_from::DATE
          AND (valid_to IS NULL OR valid_to >= $holds_from::DATE)) AS held;
