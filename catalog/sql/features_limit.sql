SELECT * FROM "limit" WHERE number IN (SELECT unnest($numbers));
