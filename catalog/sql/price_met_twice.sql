-- Rows looked at again that name a part which a row of the first pass names too.
SELECT count(*)
FROM price_judged AS judged JOIN price_row ON price_row.number = judged.part
WHERE judged.line IS NOT NULL AND judged.kind <> 'rejected'
  AND price_row.rowid NOT IN (SELECT unnest(places) FROM price_compared);
