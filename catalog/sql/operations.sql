SELECT slug, name, hours
FROM operation
WHERE (kind = 'remedy' AND slug = $remedy)
   OR (kind = 'with_remedy' AND list_contains(string_split(goes_with, '|'), $remedy))
ORDER BY kind, slug;
