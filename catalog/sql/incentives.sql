SELECT name, amount, heater_class, min_uniform_energy_factor, valid_to
FROM incentive
WHERE valid_from <= $on AND valid_to >= $on
ORDER BY slug;
