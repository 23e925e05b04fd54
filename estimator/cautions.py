"""Warnings as data: what a person must be told, never printed from inside a formula."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict


class Caution(BaseModel):
    """Something that the person reading the answer must know.

    The `code` is stable and in English; the `message` is one or two plain sentences;
    `source` names the published source, or says "common practice, no source".
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    code: str
    message: str
    source: str = ""
    topic: Literal["safety", "assumed", "evidence", "money", "energy", "fit"] = "safety"


class Stop(BaseModel):
    """A finding or condition that closes the repair path whatever the money says.

    `closes_replacement` is true where a new heater may not be lit either until the
    condition is mended (a flue that spills, say). `what_to_do` is said to the person.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    code: str
    why: str
    what_to_do: str
    source: str = ""
    closes_replacement: bool = False
