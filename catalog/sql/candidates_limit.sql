WITH counted AS (
    SELECT has.* EXCLUDE (sold),
           -- Half a °C: see MEASURED_WITHIN_F where a fit is judged.
           ($opens_at_f IS NOT NULL AND abs(has.opens_at_f - $opens_at_f) > 0.9)::INTEGER
           + ($reset_kind IS NOT NULL AND has.reset_kind IS DISTINCT FROM $reset_kind)::INTEGER
           + ($mounting IS NOT NULL AND has.mounting IS DISTINCT FROM $mounting)::INTEGER
           + ($terminals IS NOT NULL AND has.terminals IS DISTINCT FROM $terminals)::INTEGER
           + ($lead_length_in IS NOT NULL AND coalesce(has.lead_length_in < $lead_length_in, true))::INTEGER AS differing,
           coalesce(abs(has.lead_length_in - $lead_length_in), 0) AS spare
    FROM "limit" AS has
    WHERE has.sold
)
SELECT * FROM counted ORDER BY differing, spare, number LIMIT $most;
