WITH counted AS (
    SELECT has.* EXCLUDE (sold),
           ($fuel IS NOT NULL AND has.fuel IS DISTINCT FROM $fuel)::INTEGER
           + ($mounting IS NOT NULL AND has.mounting IS DISTINCT FROM $mounting)::INTEGER
           + ($hood_direction IS NOT NULL AND has.hood_direction IS DISTINCT FROM $hood_direction)::INTEGER
           + ($tube_connection IS NOT NULL AND has.tube_connection IS DISTINCT FROM $tube_connection)::INTEGER
           + ($includes_element IS NOT NULL AND has.includes_element IS DISTINCT FROM $includes_element)::INTEGER
           + ($includes_igniter IS NOT NULL AND has.includes_igniter IS DISTINCT FROM $includes_igniter)::INTEGER AS differing
    FROM pilot_assembly AS has
    WHERE has.sold
)
SELECT *, 0.0 AS spare FROM counted ORDER BY differing, number LIMIT $most;
