CREATE TABLE "limit" (
    number VARCHAR PRIMARY KEY,
    opens_at_f DOUBLE NOT NULL,
    reset_kind VARCHAR NOT NULL,
    mounting VARCHAR NOT NULL,
    terminals VARCHAR NOT NULL,
    lead_length_in DOUBLE,
    sold BOOLEAN NOT NULL
);
