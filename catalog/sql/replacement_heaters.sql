SELECT heater.* EXCLUDE (notice, valid_from, valid_to),
       operation.name AS install_name,
       operation.hours AS install_hours
FROM replacement_heater AS heater
JOIN operation ON operation.slug = heater.install_operation
WHERE heater.valid_from <= $on AND (heater.valid_to IS NULL OR heater.valid_to >= $on)
ORDER BY heater.slug;
