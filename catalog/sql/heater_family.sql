SELECT * EXCLUDE (notice) FROM heater_family WHERE slug = $slug;
