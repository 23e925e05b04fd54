"""Every worked case through grade, ranking and cautions."""

from __future__ import annotations

import pytest

from estimator.evidence import grade
from estimator.findings import Finding
from estimator.likelihood import rank_findings
from estimator.reading_cautions import reading_cautions
from tests.estimator.evidence_cases import CASES, ON, SETPOINT_F, EvidenceCase

EACH = pytest.mark.parametrize("case", CASES, ids=[case.name for case in CASES])


@EACH
def test_the_named_finding_is_graded(case: EvidenceCase) -> None:
    on, readings, finding, _, _ = case.ask()
    assert grade(finding, on, readings, SETPOINT_F, ON).support.value == case.grade


@EACH
def test_the_probable_finding_stands_first(case: EvidenceCase) -> None:
    on, readings, _, _, hazards = case.ask()
    ranked = rank_findings(on, readings, SETPOINT_F, ON, hazards)
    names = [each.finding.value for each in ranked]
    assert names[0] == (case.first or names[0])
    assert set(case.among) <= set(names[:3])


@EACH
def test_the_cautions_are_these_and_no_others(case: EvidenceCase) -> None:
    on, readings, finding, remedy, _ = case.ask()
    told = reading_cautions(on, readings, finding, remedy, SETPOINT_F, ON)
    assert tuple(each.code for each in told) == case.cautions


def test_there_are_forty_cases_and_one_or_more_for_each_finding() -> None:
    assert len(CASES) >= 40
    assert len({case.name for case in CASES}) == len(CASES)
    named = {Finding(case.finding) for case in CASES if case.grade == "supported"}
    # Nothing that is read tells of a leaking tank: it is seen, and it is a stop.
    assert named == set(Finding) - {Finding.TANK_LEAK}
    assert any(case.finding == "tank_leak" for case in CASES)


def test_every_case_expects_a_place_in_the_ranking() -> None:
    assert all(case.first or case.among for case in CASES)
    graded = [case.grade for case in CASES]
    assert min(graded.count(word) for word in ("supported", "open", "contradicted")) >= 8
