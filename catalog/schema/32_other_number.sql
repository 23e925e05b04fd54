CREATE TABLE other_number (
    number VARCHAR NOT NULL,
    part VARCHAR NOT NULL,
    kind VARCHAR NOT NULL,
    whose VARCHAR NOT NULL,
    notice VARCHAR NOT NULL
);
