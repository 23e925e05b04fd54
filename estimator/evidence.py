"""Readings against the named finding: supported, open, or contradicted."""

from __future__ import annotations

from enum import StrEnum

from pydantic import BaseModel, ConfigDict


class Support(StrEnum):
    """How the readings stand to a finding."""

    SUPPORTED = "supported"
    OPEN = "open"
    CONTRADICTED = "contradicted"


class Grade(BaseModel):
    """How the readings stand to the named finding, with each reading's word on it."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    support: Support
    supporting: tuple[str, ...] = ()
    contradicting: tuple[str, ...] = ()
