"""The cautions that every quote carries, for the reader's safety."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from estimator.cautions import Caution
from estimator.findings import REMEDIES, Remedy
from estimator.heater import Chamber, Household, Location, RatingPlate, Site

SCALD_SECONDS: dict[int, int] = {150: 2, 140: 6, 130: 30, 120: 300}
"""Water temperature [°F] → time [s] to a serious burn of an adult (CPSC 5098)."""

SCALD_SOURCE = "US Consumer Product Safety Commission, publication 5098"
COMMON_PRACTICE = "common practice, no source"
RELIEF_SOURCE = "24 CFR 3280.609 (150 psi, 210 °F)"

NO_GAS_WORK = frozenset({Remedy.CLEAN_FLAME_ROD, Remedy.REPLACE_FLAME_ROD})


class _Asked(NamedTuple):
    plate: RatingPlate
    site: Site
    household: Household
    remedy: Remedy


def safety_cautions(
    plate: RatingPlate,
    site: Site,
    household: Household,
    remedy: Remedy,
) -> tuple[Caution, ...]:
    """Return the cautions that go on the quote, in the order to be read.

    Parameters
    ----------
    plate
        The rating plate of the heater in place.
    site
        Where it stands, whether the water system is closed.
    household
        Whose set point [°F] decides how the water can scald.
    remedy
        What is done.

    Returns
    -------
    The cautions, each with its source.

    Notes
    -----
    These remind; they do not replace the maker's instructions, local code or the
    judgment of licensed people, and they are not a complete list of dangers.

    References
    ----------
    CPSC publication 5098 (scald times); 24 CFR 3280.609 (relief valve). The rest is
    common practice, no source, and says so.
    """
    asked = _Asked(plate, site, household, remedy)
    return tuple(caution for make in CAUTIONS if (caution := make(asked)) is not None)


def scald_time_s(water_f: float) -> int | None:
    """Return how soon water burns an adult seriously, by the published table.

    Parameters
    ----------
    water_f
        Water temperature [°F].

    Returns
    -------
    The time at the nearest tabled temperature at or above [s], so that it is never too
    long; ``None`` above the table's 150 °F, where it is shorter than its shortest.

    Notes
    -----
    For healthy adults; children and old people burn sooner. Below 120 °F the time at
    120 °F is given, which is then on the short side.

    References
    ----------
    CPSC publication 5098, Avoiding Tap Water Scalds.
    """
    at_or_above = [tabled for tabled in sorted(SCALD_SECONDS) if tabled >= water_f]
    return SCALD_SECONDS[at_or_above[0]] if at_or_above else None


def _licensed(_asked: _Asked) -> Caution:
    return Caution(
        code="licensed_work",
        message="Work on gas, vents and water heaters is for licensed people under local code. "
        "The rating plate, the maker's instructions and the local code come before this quote.",
        source=COMMON_PRACTICE,
    )


def _leak_test(asked: _Asked) -> Caution | None:
    if asked.remedy in NO_GAS_WORK:
        return None
    return Caution(
        code="leak_test",
        message="Every gas joint that is touched is tested with leak solution before the heater "
        "is left, never with a flame.",
        source=COMMON_PRACTICE,
    )


def _relief_valve(_asked: _Asked) -> Caution:
    return Caution(
        code="relief_valve",
        message="The relief valve (150 psi, 210 °F) and its full-size discharge pipe must be in "
        "place, open to a safe spot, neither capped nor plugged.",
        source=RELIEF_SOURCE,
    )


def _scald(asked: _Asked) -> Caution:
    setpoint = asked.household.setpoint_f
    seconds = scald_time_s(setpoint)
    if setpoint <= 120:
        message = (
            "At 120 °F water can still burn in about 5 minutes, and children sooner; "
            "feel it before bathing."
        )
    elif seconds is None:
        message = (
            f"Water at {setpoint:.0f} °F burns in under 2 seconds. Set the thermostat to 120 °F, "
            "or fit mixing valves where hotter storage is wanted."
        )
    else:
        message = (
            f"Water at {setpoint:.0f} °F can burn in {_in_words(seconds)} or little more. "
            "Set the thermostat to 120 °F, or fit mixing valves where hotter storage is wanted."
        )
    return Caution(code="scald", message=message, source=SCALD_SOURCE)


def _in_words(seconds: int) -> str:
    return f"{seconds // 60} minutes" if seconds >= 60 else f"{seconds} seconds"


def _thermal_expansion(asked: _Asked) -> Caution | None:
    closed, tank = asked.site.closed_water_system, asked.site.expansion_tank
    if closed is False or tank:
        return None
    if closed and tank is False:
        message = (
            "The water system is closed and has no expansion tank: pressure rises each time the "
            "heater fires. An expansion tank, or another listed device, is needed."
        )
    else:
        message = (
            "Look for a check valve or pressure regulator on the cold line and for an expansion "
            "tank: in a closed system without one, pressure rises each time the heater fires."
        )
    return Caution(code="thermal_expansion", message=message, source=COMMON_PRACTICE)


def _combustion_air(asked: _Asked) -> Caution:
    place = asked.site.location
    tight = place in (Location.CLOSET, Location.UTILITY_ROOM, Location.CRAWL_SPACE)
    more = " A small room needs openings for air." if tight else ""
    return Caution(
        code="venting_and_air",
        message="The vent must draw and the room must give air enough: both are checked with the "
        f"burner on and doors and windows shut before the heater is left.{more}",
        source="NFPA 54, from memory; common practice",
    )


def _sealed_chamber(asked: _Asked) -> Caution | None:
    if asked.plate.chamber is not Chamber.SEALED:
        return None
    return Caution(
        code="sealed_chamber",
        message="The sealed chamber and its flame arrestor guard against flammable vapor. Once "
        "opened it is closed with a new gasket; gasoline and solvents are kept elsewhere.",
        source="CPSC, 8 July 2003, on flame-arrestor heaters; common practice",
    )


def _garage(asked: _Asked) -> Caution | None:
    if asked.site.location is not Location.GARAGE:
        return None
    return Caution(
        code="garage",
        message="In a garage the flame is kept well above the floor and guarded from cars, as "
        "local code says (18 in is common), unless the heater is listed as vapor resistant.",
        source="common practice; 18 in from NFPA 54, from memory",
    )


def _seismic(asked: _Asked) -> Caution | None:
    if not asked.site.seismic_zone:
        return None
    return Caution(
        code="seismic_straps",
        message="In an earthquake zone the tank is strapped at its upper and lower third.",
        source=COMMON_PRACTICE,
    )


def _permit(asked: _Asked) -> Caution:
    if asked.remedy is Remedy.REPLACE_HEATER:
        message = "A new heater needs a permit and an inspection in most places."
    elif REMEDIES[asked.remedy].family is not None:
        message = (
            "Replacing the heater needs a permit in most places, and some ask for one to "
            "replace a gas part; ask the local office."
        )
    else:
        message = "Replacing the heater needs a permit and an inspection in most places."
    return Caution(code="permit", message=message, source=COMMON_PRACTICE)


def _alarm(_asked: _Asked) -> Caution:
    return Caution(
        code="co_alarm",
        message="A working carbon monoxide alarm belongs on every floor, near where people sleep. "
        "If it sounds, go out and call for help.",
        source="US Consumer Product Safety Commission advice, from memory",
    )


CAUTIONS: tuple[Callable[[_Asked], Caution | None], ...] = (
    _licensed,
    _leak_test,
    _relief_valve,
    _scald,
    _thermal_expansion,
    _combustion_air,
    _sealed_chamber,
    _garage,
    _seismic,
    _permit,
    _alarm,
)
