CREATE TABLE stock (
    part VARCHAR NOT NULL,
    place VARCHAR NOT NULL,
    place_kind VARCHAR NOT NULL,
    pieces INTEGER NOT NULL,
    notice VARCHAR NOT NULL
);
