WITH counted AS (
    SELECT has.* EXCLUDE (sold),
           ($chamber IS NOT NULL AND has.chamber IS DISTINCT FROM $chamber)::INTEGER
           + ($door_width_in IS NOT NULL AND has.door_width_in IS DISTINCT FROM $door_width_in)::INTEGER AS differing
    FROM door_kit AS has
    WHERE has.sold
)
SELECT *, 0.0 AS spare FROM counted ORDER BY differing, number LIMIT $most;
