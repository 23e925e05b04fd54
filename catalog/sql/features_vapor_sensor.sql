SELECT * EXCLUDE (sold) FROM vapor_sensor WHERE number IN $numbers::VARCHAR[];
