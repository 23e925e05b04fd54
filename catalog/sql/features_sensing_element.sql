SELECT * EXCLUDE (sold) FROM sensing_element WHERE number IN (SELECT unnest($numbers));
