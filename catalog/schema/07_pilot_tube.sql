CREATE TABLE pilot_tube (
    number VARCHAR PRIMARY KEY,
    tube_connection VARCHAR NOT NULL,
    diameter_in DOUBLE NOT NULL,
    length_in DOUBLE NOT NULL,
    sold BOOLEAN NOT NULL
);
