SELECT * EXCLUDE (sold) FROM flame_rod WHERE number IN $numbers::VARCHAR[];
