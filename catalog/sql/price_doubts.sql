SELECT (SELECT count(*) FROM price_row WHERE reason IS NULL) AS rows,
       count(line) AS joined,
       count(*) FILTER (line IS NOT NULL AND known) AS matched,
       count(*) FILTER (line IS NULL) AS vanished,
       (SELECT count(*) FROM offer
        WHERE supplier = $supplier AND valid_from <= $holds_from::DATE
          AND (valid_to IS NULL OR valid_to >= $holds_from::DATE)) AS held
FROM price_joined;
