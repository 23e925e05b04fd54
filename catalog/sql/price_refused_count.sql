SELECT count(*) FROM price_refused;
