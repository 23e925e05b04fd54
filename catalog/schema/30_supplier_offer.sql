CREATE TABLE supplier_offer (
    supplier VARCHAR NOT NULL,
    part VARCHAR NOT NULL,
    cost DECIMAL(10, 2) NOT NULL,
    list_price DECIMAL(10, 2),
    valid_from DATE NOT NULL,
    valid_to DATE,
    order_days INTEGER NOT NULL,
    supplier_number VARCHAR
);
