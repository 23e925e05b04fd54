"""Numbers, money and shares of one as text, with the signs of one language.

English needs no library; every other language takes its signs and its currency from the
CLDR through Babel.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal, InvalidOperation
from typing import Final

Number = Decimal | float | int

MINUS = "\N{MINUS SIGN}"

LOCALES: Final[dict[str, str]] = {"en": "en_US", "es": "es_US"}
"""Language → the locale whose numbers, dates and currency are written."""


def _rounded(value: Number, decimals: int) -> Decimal:
    exact = value if isinstance(value, Decimal) else Decimal(repr(value))
    if not exact.is_finite():
        raise ValueError(f"A number to be written must be finite, not {value}")
    try:
        return exact.quantize(Decimal(1).scaleb(-decimals), rounding=ROUND_HALF_UP)
    except InvalidOperation:
        raise ValueError(f"A number to be written is too large: {value}") from None


@dataclass(frozen=True)
class Numbers:
    """How numbers are written in one language.

    Parameters
    ----------
    language
        One of `LOCALES`.

    Raises
    ------
    ValueError
        If it is not known.
    """

    language: str = "en"

    def __post_init__(self) -> None:
        if self.language not in LOCALES:
            raise ValueError(f"Language {self.language!r} is not one of {', '.join(LOCALES)}")

    @property
    def locale(self) -> str:
        """The locale, such as ``es_US``."""
        return LOCALES[self.language]

    def number(self, value: Number, decimals: int = 0, *, trim: bool = False) -> str:
        """Write a number with thousands separators, rounded half up.

        Parameters
        ----------
        value
            A finite number.
        decimals
            Digits after the point.
        trim
            Leave out zeros at the end and a point with nothing after it.

        Returns
        -------
        The text, such as ``1,234.5``.

        Raises
        ------
        ValueError
            If the value is not finite.
        """
        rounded = _rounded(value, decimals)
        text = self._grouped(abs(rounded), decimals, trim=trim)
        return f"{MINUS}{text}" if rounded < 0 else text

    def _grouped(self, amount: Decimal, decimals: int, *, trim: bool) -> str:
        if self.language == "en":
            text = f"{amount:,.{decimals}f}"
            return text.rstrip("0").rstrip(".") if trim and "." in text else text
        from babel.numbers import format_decimal  # noqa: PLC0415

        least = 0 if trim else decimals
        after = f".{'0' * least}{'#' * (decimals - least)}" if decimals else ""
        return format_decimal(amount, format=f"#,##0{after}", locale=self.locale)

    def money(self, amount: Number) -> str:
        """Write an amount in dollars and cents.

        Parameters
        ----------
        amount
            The amount [USD].

        Returns
        -------
        The text, such as ``$1,234.50``; a minus sign stands before the dollar sign.
        """
        return self._dollars(amount, 2)

    def whole_money(self, amount: Number) -> str:
        """Write an expected amount in whole dollars; cents would claim too much.

        Parameters
        ----------
        amount
            The amount [USD].

        Returns
        -------
        The text, such as ``$1,235``.
        """
        return self._dollars(amount, 0)

    def _dollars(self, amount: Number, decimals: int) -> str:
        if self.language == "en":
            text = self.number(amount, decimals)
            return f"{MINUS}${text[1:]}" if text.startswith(MINUS) else f"${text}"
        from babel.numbers import format_currency  # noqa: PLC0415

        text = format_currency(
            _rounded(amount, decimals) + 0,
            "USD",
            format=f"¤#,##0{'.' + '0' * decimals if decimals else ''}",
            locale=self.locale,
            currency_digits=False,
        )
        return text.replace("-", MINUS)

    def percent(self, share: Number, decimals: int = 1) -> str:
        """Write a fraction of one as a percentage.

        Parameters
        ----------
        share
            The fraction of one.
        decimals
            Most digits after the point; zeros at the end are left out.

        Returns
        -------
        The text, such as ``7.5%``.
        """
        exact = share if isinstance(share, Decimal) else Decimal(repr(share))
        return f"{self.number(exact * 100, decimals, trim=True)}%"

    def quantity(self, value: Number, unit: str = "") -> str:
        """Write how many, with at most two decimals and the unit if there is one.

        Parameters
        ----------
        value
            How many.
        unit
            What of; may be empty.

        Returns
        -------
        The text, such as ``2`` or ``1.25 h``.
        """
        text = self.number(value, 2, trim=True)
        return f"{text} {unit}" if unit else text
