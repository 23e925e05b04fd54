SELECT position, part
FROM listed
WHERE heater_family = $heater_family
ORDER BY position, part;
