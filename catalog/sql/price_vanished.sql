SELECT DISTINCT offer.part
FROM offer
WHERE supplier = getvariable('supplier') AND valid_from <= getvariable('holds_from')
  AND (valid_to IS NULL OR valid_to >= getvariable('holds_from'))
  AND offer.part NOT IN (SELECT part FROM price_judged WHERE kind <> 'rejected')
ORDER BY offer.part;
