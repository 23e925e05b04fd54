"""How the invented demo catalog is made."""
