"""Written documents made from an issued quote."""
