SELECT * FROM orifice WHERE number IN (SELECT unnest($numbers));
