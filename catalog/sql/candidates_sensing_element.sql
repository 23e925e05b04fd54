WITH counted AS (
    SELECT has.* EXCLUDE (sold),
           ($output_class_mv IS NOT NULL AND has.output_class_mv IS DISTINCT FROM $output_class_mv)::INTEGER
           + ($cut_off_built_in IS NOT NULL AND has.cut_off_built_in IS DISTINCT FROM $cut_off_built_in)::INTEGER
           + ($connection IS NOT NULL AND has.connection IS DISTINCT FROM $connection)::INTEGER
           + ($tip_style IS NOT NULL AND has.tip_style IS DISTINCT FROM $tip_style)::INTEGER
           + ($length_in IS NOT NULL AND coalesce(has.length_in < $length_in, true))::INTEGER AS differing,
           coalesce(abs(has.length_in - $length_in), 0) AS spare
    FROM sensing_element AS has
    WHERE has.sold
)
SELECT * FROM counted ORDER BY differing, spare, number LIMIT $most;
