CREATE TABLE operation (
    slug VARCHAR PRIMARY KEY,
    name VARCHAR NOT NULL,
    kind VARCHAR NOT NULL,
    hours DECIMAL(6, 2) NOT NULL,
    goes_with VARCHAR NOT NULL,
    notice VARCHAR NOT NULL
);
