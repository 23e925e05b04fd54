WITH counted AS (
    SELECT has.* EXCLUDE (sold),
           ($sundry_kind IS NOT NULL AND has.sundry_kind IS DISTINCT FROM $sundry_kind)::INTEGER
           + ($tip_style IS NOT NULL AND has.tip_style IS DISTINCT FROM $tip_style)::INTEGER
           + ($adapts_feature IS NOT NULL AND has.adapts_feature IS DISTINCT FROM $adapts_feature)::INTEGER
           + ($adapts_from IS NOT NULL AND has.adapts_from IS DISTINCT FROM $adapts_from)::INTEGER
           + ($adapts_to IS NOT NULL AND has.adapts_to IS DISTINCT FROM $adapts_to)::INTEGER AS differing
    FROM sundry AS has
    WHERE has.sold
)
SELECT *, 0.0 AS spare FROM counted ORDER BY differing, number LIMIT $most;
