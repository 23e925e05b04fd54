SELECT sundry.number, sundry.adapts_feature, sundry.adapts_from, sundry.adapts_to
FROM sundry JOIN part ON part.number = sundry.number
WHERE sundry.sundry_kind = 'adapter' AND NOT part.discontinued
ORDER BY sundry.number;
