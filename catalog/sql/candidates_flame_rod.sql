WITH counted AS (
    SELECT has.* EXCLUDE (sold),
           ($mounting IS NOT NULL AND has.mounting IS DISTINCT FROM $mounting)::INTEGER
           + ($terminal IS NOT NULL AND has.terminal IS DISTINCT FROM $terminal)::INTEGER
           + ($rod_length_in IS NOT NULL AND has.rod_length_in IS DISTINCT FROM $rod_length_in)::INTEGER
           + ($lead_length_in IS NOT NULL AND coalesce(has.lead_length_in < $lead_length_in, true))::INTEGER AS differing,
           coalesce(abs(has.lead_length_in - $lead_length_in), 0) AS spare
    FROM flame_rod AS has
    WHERE has.sold
)
SELECT * FROM counted ORDER BY differing, spare, number LIMIT $most;
