CREATE TABLE part (
    number VARCHAR PRIMARY KEY,
    folded VARCHAR NOT NULL,
    family VARCHAR NOT NULL,
    description VARCHAR NOT NULL,
    maker VARCHAR NOT NULL,
    universal BOOLEAN NOT NULL,
    discontinued BOOLEAN NOT NULL,
    replaced_by VARCHAR,
    sold_as VARCHAR,
    notice VARCHAR NOT NULL
);
