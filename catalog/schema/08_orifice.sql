CREATE TABLE orifice (
    number VARCHAR PRIMARY KEY,
    fuel VARCHAR NOT NULL,
    orifice_kind VARCHAR NOT NULL,
    bore_in DOUBLE NOT NULL,
    thread VARCHAR NOT NULL,
    sold BOOLEAN NOT NULL
);
