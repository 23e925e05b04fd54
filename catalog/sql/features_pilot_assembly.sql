SELECT * EXCLUDE (sold) FROM pilot_assembly WHERE number IN $numbers::VARCHAR[];
