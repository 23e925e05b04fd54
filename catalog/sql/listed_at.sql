SELECT DISTINCT listed.position, listed.part, part.sold_as
FROM listed JOIN part ON part.number = listed.part
WHERE listed.heater_family = $heater_family
  AND listed.position IN (SELECT unnest($positions))
ORDER BY listed.position, listed.part;
