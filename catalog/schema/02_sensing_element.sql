CREATE TABLE sensing_element (
    number VARCHAR PRIMARY KEY,
    output_class_mv INTEGER NOT NULL,
    connection VARCHAR NOT NULL,
    tip_style VARCHAR NOT NULL,
    cut_off_built_in BOOLEAN NOT NULL,
    length_in DOUBLE NOT NULL,
    sold BOOLEAN NOT NULL
);
