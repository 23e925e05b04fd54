SELECT * FROM pilot_tube WHERE number IN (SELECT unnest($numbers));
