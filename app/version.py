"""Which version of the program this is."""

from __future__ import annotations

from functools import lru_cache


@lru_cache(maxsize=1)
def program_version() -> str:
    """Return the version of this program as it was installed."""
    from importlib.metadata import PackageNotFoundError, version  # noqa: PLC0415 - slow to import

    try:
        return version("heater-door-quote")
    except PackageNotFoundError:
        return "unknown"
