CREATE TABLE igniter (
    number VARCHAR PRIMARY KEY,
    igniter_kind VARCHAR NOT NULL,
    terminal VARCHAR NOT NULL,
    mounting VARCHAR NOT NULL,
    voltage_v DOUBLE,
    lead_length_in DOUBLE,
    sold BOOLEAN NOT NULL
);
