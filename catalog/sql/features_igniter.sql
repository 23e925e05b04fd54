SELECT * FROM igniter WHERE number IN (SELECT unnest($numbers));
