"""Queries on a catalog, one statement a file."""
