SELECT DISTINCT listed.position, listed.part, part.sold_as
FROM listed JOIN part ON part.number = listed.part
WHERE listed.heater_family = $heater_family
  AND listed.position IN $positions::VARCHAR[]
ORDER BY listed.position, listed.part;
