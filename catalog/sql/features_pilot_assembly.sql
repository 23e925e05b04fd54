SELECT * FROM pilot_assembly WHERE number IN (SELECT unnest($numbers));
