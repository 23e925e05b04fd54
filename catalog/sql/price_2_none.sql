-- In place of the first pass, where every row is judged one by one.
CREATE TEMP TABLE price_compared (places BIGINT[], vanished VARCHAR[]);
