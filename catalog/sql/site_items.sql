SELECT * EXCLUDE (notice) FROM site_item ORDER BY slug;
