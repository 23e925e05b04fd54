"""Layout of the page, and nothing else."""
