CREATE TABLE catalog_info (
    version VARCHAR NOT NULL,
    layout INTEGER NOT NULL,
    rules VARCHAR NOT NULL,
    part_count BIGINT NOT NULL,
    offer_count BIGINT NOT NULL
);
