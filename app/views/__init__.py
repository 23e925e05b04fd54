"""Frozen view-models: what a screen shows, testable without a page."""
