SELECT * EXCLUDE (sold) FROM door_kit WHERE number IN (SELECT unnest($numbers));
