SELECT * EXCLUDE (sold) FROM igniter WHERE number IN $numbers::VARCHAR[];
