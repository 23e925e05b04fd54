SELECT sundry.sundry_kind, part.number
FROM sundry JOIN part ON part.number = sundry.number
WHERE NOT part.discontinued
ORDER BY sundry.sundry_kind, part.number;
