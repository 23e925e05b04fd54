"""An address as a QR code, drawn as SVG."""

from __future__ import annotations

from io import BytesIO

from estimator.errors import InputTrouble

MOST_CHARACTERS = 600
QUIET_ZONE = 4
"""Modules left white around the code (ISO/IEC 18004)."""


def qr_svg(address: str) -> str:
    """Draw an address as a QR code.

    Parameters
    ----------
    address
        A web address; what a phone opens.

    Returns
    -------
    An SVG document of black modules on white, with the quiet zone around them.

    Raises
    ------
    InputTrouble
        If the address is too long to be read off a page by a phone.

    References
    ----------
    ISO/IEC 18004, by the segno library; error correction level M, so that a crease or a
    thumb does no harm.
    """
    import segno  # noqa: PLC0415 - wanted only where a quote has a link

    if len(address) > MOST_CHARACTERS:
        raise InputTrouble(
            f"An address of {len(address)} characters is too long for a QR code",
            "the customer's link",
            f"Keep it under {MOST_CHARACTERS} characters.",
        )
    drawn = BytesIO()
    segno.make_qr(address, error="m").save(
        drawn, kind="svg", border=QUIET_ZONE, light="#ffffff", xmldecl=False, title=None
    )
    return drawn.getvalue().decode()
