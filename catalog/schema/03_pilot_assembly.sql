CREATE TABLE pilot_assembly (
    number VARCHAR PRIMARY KEY,
    fuel VARCHAR NOT NULL,
    mounting VARCHAR NOT NULL,
    hood_direction VARCHAR NOT NULL,
    tube_connection VARCHAR NOT NULL,
    includes_igniter BOOLEAN NOT NULL,
    includes_element BOOLEAN NOT NULL,
    output_class_mv INTEGER,
    connection VARCHAR,
    cut_off_built_in BOOLEAN NOT NULL,
    sold BOOLEAN NOT NULL
);
