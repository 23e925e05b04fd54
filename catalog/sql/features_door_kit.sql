SELECT * EXCLUDE (sold) FROM door_kit WHERE number IN $numbers::VARCHAR[];
