SELECT * FROM door_kit WHERE number IN (SELECT unnest($numbers));
