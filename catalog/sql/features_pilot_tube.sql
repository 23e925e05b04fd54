SELECT * EXCLUDE (sold) FROM pilot_tube WHERE number IN $numbers::VARCHAR[];
