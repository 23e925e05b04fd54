CREATE TABLE door_kit (
    number VARCHAR PRIMARY KEY,
    chamber VARCHAR NOT NULL,
    door_width_in DOUBLE NOT NULL,
    includes_gasket BOOLEAN NOT NULL,
    sold BOOLEAN NOT NULL
);
