"""What makes two priced jobs the same job, for an allowance."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.ledger.canonical import canonical_json, digest, without_stock

if TYPE_CHECKING:
    from app.visiting import PricedVisit


def job_digest(priced: PricedVisit) -> str:
    """Return what an allowance for a priced visit is bound to.

    Parameters
    ----------
    priced
        The visit as priced.

    Returns
    -------
    A digest over the case, the rate sheet's version and every result. Another discount, part
    or price is another job; a corrected spelling of the customer's name is not, and neither is
    a piece that another quote took off the van meanwhile.
    """
    return digest(
        canonical_json(priced.visit.case()),
        str(priced.rate_sheet.version),
        canonical_json(without_stock(canonical_json(priced.owner))),
    )
