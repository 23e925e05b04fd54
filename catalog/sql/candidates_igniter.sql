WITH counted AS (
    SELECT has.* EXCLUDE (sold),
           ($igniter_kind IS NOT NULL AND has.igniter_kind IS DISTINCT FROM $igniter_kind)::INTEGER
           + ($voltage_v IS NOT NULL AND has.voltage_v IS DISTINCT FROM $voltage_v)::INTEGER
           + ($terminal IS NOT NULL AND has.terminal IS DISTINCT FROM $terminal)::INTEGER
           + ($mounting IS NOT NULL AND has.mounting IS DISTINCT FROM $mounting)::INTEGER
           + ($lead_length_in IS NOT NULL AND coalesce(has.lead_length_in < $lead_length_in, true))::INTEGER AS differing,
           coalesce(abs(has.lead_length_in - $lead_length_in), 0) AS spare
    FROM igniter AS has
    WHERE has.sold
)
SELECT * FROM counted ORDER BY differing, spare, number LIMIT $most;
