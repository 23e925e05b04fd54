"""Pure arithmetic of repair and replacement: numbers in, numbers out, no I/O."""
