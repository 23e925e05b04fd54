"""One outside check: a quantity, its inputs, the value as printed, and where it is printed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import pytest


@dataclass(frozen=True)
class Printed:
    """A value of somebody else's, beside the function of ours that must give it.

    The tolerance is half a unit of the last digit printed; a whole one where the source
    cuts digits off instead of rounding; or `within`, where the source worked with rounded
    factors, which `note` then says.
    """

    quantity: str
    function: Callable[..., float]
    inputs: tuple[Any, ...]
    printed: str
    source: str
    named: dict[str, Any] = field(default_factory=dict)
    cut_off: bool = False
    within: float | None = None
    note: str = ""

    @property
    def value(self) -> float:
        return float(self.printed.replace(",", ""))

    @property
    def tolerance(self) -> float:
        if self.within is not None:
            assert self.note, f"{self.quantity}: a tolerance of its own needs its reason"
            return self.within
        _, _, decimals = self.printed.partition(".")
        unit = 10.0 ** -len(decimals)
        return (unit if self.cut_off else unit / 2) * (1 + 1e-9)

    def check(self) -> None:
        computed = float(self.function(*self.inputs, **self.named))
        assert abs(computed - self.value) <= self.tolerance, (
            f"{self.quantity}: computed {computed!r}, printed {self.printed} "
            f"(within {self.tolerance:g}); {self.source}"
        )


def rows(*table: Printed) -> pytest.MarkDecorator:
    """Run a test once for each row, named after its quantity."""
    return pytest.mark.parametrize("row", table, ids=lambda row: row.quantity.replace(" ", "-"))
