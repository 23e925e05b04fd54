CREATE TABLE flame_rod (
    number VARCHAR PRIMARY KEY,
    mounting VARCHAR NOT NULL,
    terminal VARCHAR NOT NULL,
    rod_length_in DOUBLE NOT NULL,
    lead_length_in DOUBLE NOT NULL,
    sold BOOLEAN NOT NULL
);
