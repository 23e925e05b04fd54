SELECT * EXCLUDE (sold) FROM gas_control WHERE number IN $numbers::VARCHAR[];
