SELECT * EXCLUDE (sold) FROM "limit" WHERE number IN (SELECT unnest($numbers));
