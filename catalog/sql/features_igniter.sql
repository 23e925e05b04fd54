SELECT * EXCLUDE (sold) FROM igniter WHERE number IN (SELECT unnest($numbers));
