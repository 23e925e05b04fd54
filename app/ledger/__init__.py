"""Drafts, rate sheets and issued quotes, kept in SQL."""
