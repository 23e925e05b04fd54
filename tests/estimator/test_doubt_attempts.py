"""Which repairs may be tried: remedies with the findings that they mend."""

from __future__ import annotations

import pytest

from estimator.doubt_attempts import is_settled, possible_attempts
from estimator.findings import FINDINGS, Finding, Remedy
from estimator.likelihood import RankedFinding


def ranked(**chances: float) -> tuple[RankedFinding, ...]:
    given = {Finding(name.lower()): chance for name, chance in chances.items()}
    rest = [finding for finding in Finding if finding not in given]
    left = 1 - sum(given.values())
    given |= dict.fromkeys(rest, left / len(rest))
    return tuple(
        RankedFinding(finding=finding, probability=chance, why=())
        for finding, chance in given.items()
    )


def test_the_remedy_chosen_comes_first_with_all_that_it_mends() -> None:
    """A new element mends a fouled one too; cleaning one does not mend a worn one."""
    chances = ranked(element_worn=0.5, element_fouled=0.3, loose_connection=0.2)
    new, joint = possible_attempts(Finding.ELEMENT_WORN, Remedy.REPLACE_ELEMENT, chances)
    assert new.findings == (Finding.ELEMENT_WORN, Finding.ELEMENT_FOULED)
    assert new.probability == pytest.approx(0.8)
    assert (joint.remedy, joint.findings) == (Remedy.TIGHTEN_JOINT, (Finding.LOOSE_CONNECTION,))
    clean, worn, _ = possible_attempts(Finding.ELEMENT_FOULED, Remedy.CLEAN_ELEMENT, chances)
    assert (clean.findings, clean.probability) == ((Finding.ELEMENT_FOULED,), pytest.approx(0.3))
    assert (worn.remedy, worn.findings) == (Remedy.REPLACE_ELEMENT, (Finding.ELEMENT_WORN,))


def test_chances_add_to_one_over_what_is_counted() -> None:
    chances = ranked(element_worn=0.6, weak_pilot=0.16, downdraft=0.04)
    attempts = possible_attempts(Finding.ELEMENT_WORN, Remedy.REPLACE_ELEMENT, chances)
    assert [each.remedy for each in attempts] == [
        Remedy.REPLACE_ELEMENT,
        FINDINGS[Finding.WEAK_PILOT].remedies[0],
        Remedy.VENT_WORK,
    ]
    assert [each.probability for each in attempts] == pytest.approx([0.75, 0.2, 0.05])


def test_the_finding_named_is_tried_however_unlikely() -> None:
    chances = ranked(control_magnet=0.0, element_worn=0.99)
    magnet, worn = possible_attempts(Finding.CONTROL_MAGNET, Remedy.REPLACE_GAS_CONTROL, chances)
    assert magnet.findings == (Finding.CONTROL_MAGNET,)
    assert magnet.probability == 0
    assert worn.probability == pytest.approx(1.0)


@pytest.mark.parametrize(("chance", "settled"), [(0.95, True), (0.9, True), (0.89, False)])
def test_settled_from_nine_in_ten(chance: float, settled: bool) -> None:
    chances = ranked(element_worn=chance, loose_connection=1 - chance)
    attempts = possible_attempts(Finding.ELEMENT_WORN, Remedy.REPLACE_ELEMENT, chances)
    assert is_settled(attempts) is settled
