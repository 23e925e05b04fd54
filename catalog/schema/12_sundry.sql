CREATE TABLE sundry (
    number VARCHAR PRIMARY KEY,
    sundry_kind VARCHAR NOT NULL,
    tip_style VARCHAR,
    adapts_feature VARCHAR,
    adapts_from VARCHAR,
    adapts_to VARCHAR,
    sold BOOLEAN NOT NULL
);
