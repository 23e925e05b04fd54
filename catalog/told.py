"""What is told of an old part beside its number, and whether a part of the catalog is so."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Final

from estimator.supply import PartFamily

if TYPE_CHECKING:
    from catalog.part_lookup import Feature, Part

Told = Mapping[PartFamily, Mapping[str, "Feature"]]
"""By family what a part must have to be the one told, in the units that the catalog keeps."""

TOLD_WITHIN: Final = 0.02
"""How far a measure of an old part may be off the part sold [1]; common practice, no source."""


def is_as_told(part: Part, told: Told) -> bool:
    """Say whether a part is as somebody says of the old one in his hand.

    Parameters
    ----------
    part
        The part, with its features.
    told
        What was told; a family that is not in it was ruled out.

    Returns
    -------
    True where every feature told is known of the part and the same, a measure within
    `TOLD_WITHIN`. What is not known is no match.
    """
    features = told.get(part.family)
    return features is not None and all(
        _same(part.features.get(name), value) for name, value in features.items()
    )


def _same(has: Feature | None, told: Feature) -> bool:
    if isinstance(has, bool | str | None) or isinstance(told, bool | str):
        return has == told
    return abs(has - told) <= TOLD_WITHIN * abs(told)
