CREATE TABLE incentive (
    slug VARCHAR PRIMARY KEY,
    name VARCHAR NOT NULL,
    amount DECIMAL(10, 2) NOT NULL,
    heater_class VARCHAR NOT NULL,
    min_uniform_energy_factor DOUBLE NOT NULL,
    valid_from DATE NOT NULL,
    valid_to DATE NOT NULL,
    notice VARCHAR NOT NULL
);
