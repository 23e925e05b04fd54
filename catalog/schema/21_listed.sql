CREATE TABLE listed (
    heater_family VARCHAR NOT NULL,
    position VARCHAR NOT NULL,
    part VARCHAR NOT NULL,
    notice VARCHAR NOT NULL
);
