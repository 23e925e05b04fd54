CREATE TABLE gas_control (
    number VARCHAR PRIMARY KEY,
    fuel VARCHAR NOT NULL,
    inlet_size VARCHAR NOT NULL,
    outlet_size VARCHAR NOT NULL,
    max_input_btu_per_h DOUBLE NOT NULL,
    manifold_in_wc DOUBLE NOT NULL,
    sensing_kind VARCHAR NOT NULL,
    connection VARCHAR NOT NULL,
    probe_length_in DOUBLE NOT NULL,
    insulation_in DOUBLE NOT NULL,
    cut_off_built_in BOOLEAN NOT NULL,
    knob VARCHAR NOT NULL,
    sold BOOLEAN NOT NULL
);
