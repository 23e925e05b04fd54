"""What every section of a rate sheet has in common: it never changes and knows its keys."""

from __future__ import annotations

from collections.abc import Mapping

from pydantic import BaseModel, ConfigDict, model_validator


class RateSection(BaseModel):
    """A section of a rate sheet: frozen, with no key that is not known."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    @model_validator(mode="before")
    @classmethod
    def _no_truth_for_a_number(cls, values: object) -> object:
        # pydantic would take true as 1: a typing slip must not become a price
        if isinstance(values, Mapping):
            for name, value in values.items():
                field = cls.model_fields.get(name)
                if isinstance(value, bool) and field and field.annotation is not bool:
                    raise ValueError(f"{name} is {str(value).lower()}; give a number or text")
        return values
