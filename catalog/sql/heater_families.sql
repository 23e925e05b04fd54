SELECT * EXCLUDE (notice) FROM heater_family ORDER BY slug;
