SELECT * EXCLUDE (sold) FROM orifice WHERE number IN $numbers::VARCHAR[];
