"""Small line drawings of what to measure on a part, one for each main family.

Own drawings: black lines on nothing, a letter at each measure. They take the color of the
text around them, and say in words what they show.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from estimator.supply import PartFamily


@dataclass(frozen=True)
class Drawing:
    """A drawing: its lines as SVG, and the letter that stands at each feature."""

    title: str
    body: str
    letters: dict[str, str]

    def svg(self) -> str:
        """Return the drawing as an SVG element of its own."""
        return (
            '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 320 140" role="img" '
            'fill="none" stroke="currentColor" stroke-width="2" stroke-linecap="round" '
            f'font-family="sans-serif" font-size="16"><title>{self.title}</title>{self.body}</svg>'
        )


def _measure(left: int, right: int, level: int, letter: str) -> str:
    middle = (left + right) // 2
    return (
        f'<path d="M{left} {level - 6}V{level + 6}M{right} {level - 6}V{level + 6}'
        f'M{left} {level}H{middle - 12}M{middle + 12} {level}H{right}" stroke-width="1"/>'
        + _letter(middle, level + 6, letter)
    )


def _letter(across: int, down: int, letter: str) -> str:
    return (
        f'<text x="{across}" y="{down}" text-anchor="middle" fill="currentColor" '
        f'stroke="none">{letter}</text>'
    )


DRAWINGS: Final[dict[PartFamily, Drawing]] = {
    PartFamily.SENSING_ELEMENT: Drawing(
        "Sensing element: A length from tip to end, B end at the control, C tip, D cut-off",
        '<path d="M30 60H78M30 52V68H78V52ZM78 56H96V64H78Z"/>'
        '<path d="M96 60C130 20 150 100 186 60H236"/><rect x="150" y="46" width="34" height="26"/>'
        '<path d="M236 50H252V70H236ZM252 54H290M252 66H290M290 54V66"/>'
        + _measure(30, 290, 116, "A") + _letter(264, 40, "B") + _letter(52, 42, "C")
        + _letter(167, 40, "D"),
        {"length_in": "A", "connection": "B", "tip_style": "C", "cut_off_built_in": "D"},
    ),
    PartFamily.PILOT_ASSEMBLY: Drawing(
        "Pilot assembly from above: A way the hood throws the flame, B mounting, C tube joint, "
        "D igniter, E sensing element",
        '<path d="M60 96H220V112H60ZM86 104H87M194 104H195"/><path d="M120 96V48H160V96"/>'
        '<path d="M120 48L92 34M160 48V34H120"/><path d="M140 112V132"/>'
        '<path d="M182 96V56M182 56L168 48"/><path d="M206 96V40"/>'
        + _letter(78, 36, "A") + _letter(48, 110, "B") + _letter(158, 134, "C")
        + _letter(184, 44, "D") + _letter(220, 48, "E"),
        {"hood_direction": "A", "mounting": "B", "tube_connection": "C", "includes_igniter": "D",
         "includes_element": "E"},
    ),
    PartFamily.IGNITER: Drawing(
        "Igniter: A length of the lead, B terminal, C body and how it is held",
        '<rect x="36" y="44" width="56" height="34"/><path d="M36 61H14M92 61C130 30 160 92 '
        '200 61H268"/><path d="M268 53H296V69H268Z"/>'
        + _measure(92, 296, 112, "A") + _letter(282, 44, "B") + _letter(64, 34, "C"),
        {"lead_length_in": "A", "terminal": "B", "igniter_kind": "C", "mounting": "C"},
    ),
    PartFamily.LIMIT: Drawing(
        "Limit: A opening temperature stamped on the face, B reset button, C mounting, "
        "D terminals, E length of the leads",
        '<circle cx="110" cy="62" r="34"/><circle cx="110" cy="62" r="8"/>'
        '<path d="M60 62H76M144 62H160M52 54V70M168 54V70"/><path d="M98 96V116M122 96V116"/>'
        '<path d="M122 106H250"/>'
        + _letter(110, 44, "A") + _letter(134, 46, "B") + _letter(44, 50, "C")
        + _letter(84, 118, "D") + _measure(122, 250, 128, "E"),
        {"opens_at_f": "A", "reset_kind": "B", "mounting": "C", "terminals": "D",
         "lead_length_in": "E"},
    ),
    PartFamily.GAS_CONTROL: Drawing(
        "Gas control from the side: A inlet, B outlet, C length of the probe from the face, "
        "D joint of the sensing element, E knob",
        '<rect x="70" y="36" width="92" height="68"/><circle cx="116" cy="66" r="20"/>'
        '<path d="M96 36V16H120V36"/><path d="M96 104V126H120V104"/>'
        '<path d="M162 60H276V72H162"/><path d="M140 104V118H152V104"/>'
        + _letter(84, 26, "A") + _letter(84, 128, "B") + _measure(162, 276, 96, "C")
        + _letter(166, 122, "D") + _letter(116, 72, "E"),
        {"inlet_size": "A", "outlet_size": "B", "probe_length_in": "C", "connection": "D",
         "knob": "E"},
    ),
}  # fmt: skip
