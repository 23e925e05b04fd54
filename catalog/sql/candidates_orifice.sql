WITH counted AS (
    SELECT has.* EXCLUDE (sold),
           ($fuel IS NOT NULL AND has.fuel IS DISTINCT FROM $fuel)::INTEGER
           + ($orifice_kind IS NOT NULL AND has.orifice_kind IS DISTINCT FROM $orifice_kind)::INTEGER
           + ($bore_in IS NOT NULL AND has.bore_in IS DISTINCT FROM $bore_in)::INTEGER
           + ($thread IS NOT NULL AND has.thread IS DISTINCT FROM $thread)::INTEGER AS differing
    FROM orifice AS has
    WHERE has.sold
)
SELECT *, 0.0 AS spare FROM counted ORDER BY differing, number LIMIT $most;
