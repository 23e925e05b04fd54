WITH counted AS (
    SELECT has.* EXCLUDE (sold),
           ($tube_connection IS NOT NULL AND has.tube_connection IS DISTINCT FROM $tube_connection)::INTEGER
           + ($diameter_in IS NOT NULL AND has.diameter_in IS DISTINCT FROM $diameter_in)::INTEGER
           + ($length_in IS NOT NULL AND coalesce(has.length_in < $length_in, true))::INTEGER AS differing,
           coalesce(abs(has.length_in - $length_in), 0) AS spare
    FROM pilot_tube AS has
    WHERE has.sold
)
SELECT * FROM counted ORDER BY differing, spare, number LIMIT $most;
