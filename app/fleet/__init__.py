"""A fleet of heaters from file to file: read, checked, costed in parts, summed up."""
