SELECT part.number
FROM sundry JOIN part USING (number)
WHERE sundry.sundry_kind = $kind AND NOT part.discontinued
ORDER BY part.number;
