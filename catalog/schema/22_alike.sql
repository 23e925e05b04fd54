CREATE TABLE alike (
    part VARCHAR NOT NULL,
    alike VARCHAR NOT NULL,
    notice VARCHAR NOT NULL
);
