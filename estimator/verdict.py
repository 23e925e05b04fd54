"""The verdict: stops first, then fit, then money and how sure it is."""

from __future__ import annotations

from enum import StrEnum

from pydantic import BaseModel, ConfigDict


class VerdictKind(StrEnum):
    """What is better for the customer."""

    REPAIR = "repair"
    REPLACE = "replace"
    EITHER = "either"
    CLOSED = "closed"


class RuleOfThumb(BaseModel):
    """A common rule of thumb beside the verdict; never the verdict itself."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    says: VerdictKind
    why: str


class Verdict(BaseModel):
    """What is better for the customer, why, and what would turn it.

    `reasons` come strongest first. `turns_at` are plain sentences.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    kind: VerdictKind
    reasons: tuple[str, ...]
    turns_at: tuple[str, ...] = ()
    rules_of_thumb: tuple[RuleOfThumb, ...] = ()
