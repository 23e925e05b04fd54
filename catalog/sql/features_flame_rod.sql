SELECT * EXCLUDE (sold) FROM flame_rod WHERE number IN (SELECT unnest($numbers));
