SELECT * EXCLUDE (sold) FROM orifice WHERE number IN (SELECT unnest($numbers));
