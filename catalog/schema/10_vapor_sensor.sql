CREATE TABLE vapor_sensor (
    number VARCHAR PRIMARY KEY,
    sensor_kind VARCHAR NOT NULL,
    terminal VARCHAR NOT NULL,
    mounting VARCHAR NOT NULL,
    sold BOOLEAN NOT NULL
);
