SELECT * EXCLUDE (sold) FROM "limit" WHERE number IN $numbers::VARCHAR[];
