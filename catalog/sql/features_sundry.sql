SELECT * FROM sundry WHERE number IN (SELECT unnest($numbers));
