CREATE TABLE known_number (
    place INTEGER NOT NULL,
    folded VARCHAR NOT NULL,
    number VARCHAR NOT NULL,
    part VARCHAR NOT NULL,
    kind VARCHAR NOT NULL,
    whose VARCHAR NOT NULL
);
