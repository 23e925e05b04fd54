WITH counted AS (
    SELECT has.* EXCLUDE (sold),
           ($sensor_kind IS NOT NULL AND has.sensor_kind IS DISTINCT FROM $sensor_kind)::INTEGER
           + ($terminal IS NOT NULL AND has.terminal IS DISTINCT FROM $terminal)::INTEGER
           + ($mounting IS NOT NULL AND has.mounting IS DISTINCT FROM $mounting)::INTEGER AS differing
    FROM vapor_sensor AS has
    WHERE has.sold
)
SELECT *, 0.0 AS spare FROM counted ORDER BY differing, number LIMIT $most;
