SELECT * EXCLUDE (sold) FROM sensing_element WHERE number IN $numbers::VARCHAR[];
