"""Table definitions of a catalog, one statement a file."""
