SELECT * EXCLUDE (sold) FROM sundry WHERE number IN $numbers::VARCHAR[];
