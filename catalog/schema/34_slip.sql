CREATE TABLE slip (
    letters UBIGINT NOT NULL,
    place INTEGER NOT NULL
);
