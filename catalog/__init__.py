"""The parts catalog in DuckDB: what fits, why, and where it is."""
