CREATE TABLE site_item (
    slug VARCHAR PRIMARY KEY,
    name VARCHAR NOT NULL,
    kind VARCHAR NOT NULL,
    quantity DECIMAL(8, 2) NOT NULL,
    unit_cost DECIMAL(10, 2) NOT NULL,
    hours DECIMAL(6, 2) NOT NULL,
    conditions VARCHAR NOT NULL,
    because VARCHAR NOT NULL,
    look_for VARCHAR NOT NULL,
    notice VARCHAR NOT NULL
);
