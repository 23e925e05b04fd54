SELECT DISTINCT position, part
FROM listed
WHERE heater_family = $heater_family AND position IN (SELECT unnest($positions))
ORDER BY position, part;
