WITH counted AS (
    SELECT has.* EXCLUDE (sold),
           ($fuel IS NOT NULL AND has.fuel IS DISTINCT FROM $fuel)::INTEGER
           + ($sensing_kind IS NOT NULL AND has.sensing_kind IS DISTINCT FROM $sensing_kind)::INTEGER
           + ($connection IS NOT NULL AND has.connection IS DISTINCT FROM $connection)::INTEGER
           + ($cut_off_built_in IS NOT NULL AND has.cut_off_built_in IS DISTINCT FROM $cut_off_built_in)::INTEGER
           + ($inlet_size IS NOT NULL AND has.inlet_size IS DISTINCT FROM $inlet_size)::INTEGER
           + ($outlet_size IS NOT NULL AND has.outlet_size IS DISTINCT FROM $outlet_size)::INTEGER
           + ($probe_length_in IS NOT NULL AND has.probe_length_in IS DISTINCT FROM $probe_length_in)::INTEGER
           + ($insulation_in IS NOT NULL AND has.insulation_in IS DISTINCT FROM $insulation_in)::INTEGER
           + ($max_input_btu_per_h IS NOT NULL AND coalesce(has.max_input_btu_per_h < $max_input_btu_per_h, true))::INTEGER AS differing,
           coalesce(abs(has.max_input_btu_per_h - $max_input_btu_per_h), 0) AS spare
    FROM gas_control AS has
    WHERE has.sold
)
SELECT * FROM counted ORDER BY differing, spare, number LIMIT $most;
