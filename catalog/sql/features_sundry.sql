SELECT * EXCLUDE (sold) FROM sundry WHERE number IN (SELECT unnest($numbers));
