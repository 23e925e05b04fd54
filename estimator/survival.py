"""Lives of heaters: Weibull with delay, and the mean life left."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field


class LifeDistribution(BaseModel):
    """Weibull life with a delay: nothing fails before `delay_years`.

    `shape` is dimensionless; `scale_years` and `delay_years` [yr]. `source` says where
    the numbers come from.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    shape: Annotated[float, Field(gt=0.2, le=20, allow_inf_nan=False)]
    scale_years: Annotated[float, Field(gt=0, le=200, allow_inf_nan=False)]
    delay_years: Annotated[float, Field(ge=0, le=50, allow_inf_nan=False)] = 0.0
    source: str = ""
