"""The tables of likelihoods, and what the network makes of them."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from itertools import product
from math import log2

import numpy as np
import pytest

from estimator import likelihood_table
from estimator.evidence_plate import IGNITIONS, plate_rules_out
from estimator.evidence_rules import RULES, Rule
from estimator.findings import FINDINGS, Finding, Hazards, Readings
from estimator.heater import Ignition
from estimator.likelihood import BY_THE_MAKER, SOURCE, TANK_LEAKS, UNSAID, rank_findings, told_of
from estimator.likelihood_network import (
    FINDING_ORDER,
    IGNITION_COLUMN,
    network,
    network_from,
    prior_of,
    table_rows,
)
from estimator.likelihood_next import minutes_for, next_reading, reading_times
from estimator.reading_words import WORDS, Seen, words_of
from tests.estimator.evidence_cases import (
    HOT,
    ON,
    PROPANE,
    SEALED,
    TANK,
    THERMOPILE,
    plate,
    readings_saying,
)

INF = float("inf")


def chance(finding: str, heater: object, given: dict[str, object], **more: object) -> float:
    ranked = rank_findings(heater, Readings.model_validate(given), **more)
    return next(each.probability for each in ranked if each.finding == finding)


# The tables


def test_the_tables_name_every_finding_and_reading_and_its_words() -> None:
    assert [row["finding"] for row in table_rows(likelihood_table.PRIORS)] == list(FINDINGS)
    assert set(reading_times()) == set(WORDS)
    known = {name.removesuffix(BY_THE_MAKER) for name in network().nodes}
    assert known == set(WORDS) - {"manifold_in_wc"} | {TANK_LEAKS}
    for rule in RULES:
        word = "low" if rule.says.startswith("low") else rule.says
        assert word in network().nodes[rule.reading].words, (rule.reading, rule.says)


def test_a_finding_has_a_dash_where_the_plate_rules_it_out() -> None:
    for row in table_rows(likelihood_table.PRIORS):
        for ignition, column in IGNITION_COLUMN.items():
            possible = ignition in IGNITIONS.get(Finding(row["finding"]), set(Ignition))
            assert (row[column] != "-") == possible, (row["finding"], column)


def test_it_says_that_the_numbers_have_no_source() -> None:
    assert SOURCE == "common practice, no source"
    assert likelihood_table.__doc__
    assert SOURCE in " ".join(likelihood_table.__doc__.split())


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            "flame  good  small\n  every other  90  9",
            "flame, every other: 2 shares must add to 100",
        ),
        ("flame  good  small\n  every other  100  0", "no reading is impossible"),
        ("flame  good  small\n  every other  90  5  5", "2 shares must add to 100"),
        ("flame  good  small\n  weak_pilot  90  10", 'the row "every other" is missing'),
        ("flame  good  small\n  every other  90  10\n  weak  5  95", "'weak' is not a valid"),
        (
            "flame  good  none\n  every other  90  10\n\nvolts when flame is good  a  b\n"
            "  every other  50  50",
            "volts: a block for a word of flame is missing",
        ),
    ],
)
def test_a_table_that_is_wrong_is_refused(text: str, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        network_from(text)


# What one sees where the fault lies elsewhere: the first word of a table, but for these.
USUAL_WORD = {"hold": "holds", "millivolts_at_drop_out": "between"}
# A voltage in a poor flame or a load on a poor voltage is poor, a flowing pressure follows.
USUAL_WHEN = {
    ("millivolts_open", "small"): "low",
    ("millivolts_open", "off_element"): "low",
    ("millivolts_open", "lifting"): "low",
    ("millivolts_open", "none"): "low",
    ("millivolts_loaded", "low"): "low",
    ("inlet_flowing_in_wc", "low"): "low",
    ("inlet_flowing_in_wc", "high"): "high",
}


def tables() -> Iterator[tuple[str, str, dict[str, dict[Finding, float]]]]:
    """Yield each table: its reading, its usual word, and word → finding → likelihood."""
    for node in network().nodes.values():
        whens = network().nodes[node.parent].words if node.parent else ("",)
        for when, columns in zip(whens, node.given, strict=True):
            usual = USUAL_WHEN.get((node.name, when), USUAL_WORD.get(node.name, node.words[0]))
            by_word = zip(node.words, columns, strict=True)
            yield (
                node.name,
                usual,
                {word: dict(zip(FINDING_ORDER, row, strict=True)) for word, row in by_word},
            )


def test_a_reading_that_a_fault_does_not_touch_is_as_it_usually_is() -> None:
    for reading, usual, table in tables():
        elsewhere = [each for each in FINDINGS if not touched(reading, each)]
        assert elsewhere
        for word, finding in product(table, elsewhere):
            assert table[usual][finding] >= table[word][finding], (reading, usual, finding)


def test_a_fault_that_touches_a_reading_makes_its_usual_word_no_likelier() -> None:
    sound_by_rule = {("millivolts_loaded", Finding.CONTROL_MAGNET)}
    for reading, usual, table in tables():
        plain = next(each for each in FINDINGS if not touched(reading, each))
        for finding in FINDINGS:
            if (reading, finding) in sound_by_rule or usual in ("low", "high"):
                continue
            assert table[usual][finding] <= table[usual][plain], (reading, usual, finding)


def touched(reading: str, finding: Finding) -> bool:
    """Say whether a finding has a row of its own in some table of a reading."""
    blocks = likelihood_table.LIKELIHOODS.strip().split("\n\n")
    return any(
        finding.value in line
        for block in blocks
        if block.split("  ")[0].split(" when ")[0] == reading
        for line in block.splitlines()[1:]
    )


HEATERS = (
    TANK,
    SEALED,
    THERMOPILE,
    HOT,
    plate(chamber="sealed", ignition="hot_surface"),
    plate(ignition="intermittent_pilot"),
)
BY_RULE = pytest.mark.parametrize("rule", RULES, ids=[f"{r.reading}-{r.says}" for r in RULES])


@BY_RULE
def test_the_tables_agree_with_the_rules_of_the_grade(rule: Rule) -> None:
    """What a reading decides for is three times as likely with it as what it excludes."""
    told = told_of(TANK, Readings.model_validate(readings_saying(*rule[:2], TANK)), 125)
    explains = dict(zip(FINDING_ORDER, network().likelihood(told), strict=True))
    for supported, excluded in product(rule.supports, rule.contradicts):
        assert explains[supported] >= 3 * explains[excluded], (supported, excluded)


@BY_RULE
def test_a_reading_raises_what_it_decides_for_and_lowers_what_it_excludes(rule: Rule) -> None:
    asked = 0
    for on in HEATERS:
        given = Readings.model_validate(readings_saying(rule.reading, rule.says, on))
        if words_of(Seen(on, given, 125)).get(rule.reading) != rule.says:
            continue  # not a reading of this heater
        asked += 1
        now = dict(zip(FINDING_ORDER, prior_of(on), strict=True))
        for each in rank_findings(on, given, 125):
            possible = now[each.finding] > 0
            if possible and each.finding in rule.supports:
                assert each.probability > now[each.finding]
            if possible and each.finding in rule.contradicts:
                assert each.probability < now[each.finding]
    assert asked


# The network


def test_bayes_by_hand_for_two_readings() -> None:
    # Weights of an open-chamber thermocouple heater, typed from the table: 8 6 14 1 4 6 26 6
    # 3 3 5 2 4 4 = 92. "Joint not tight" is 96 % with a loose joint and 5 % with any other;
    # "spark none" is 60 % with no spark and 2 % with any other.
    loose, no_spark, others = 6 * 0.96 * 0.02, 8 * 0.05 * 0.60, 78 * 0.05 * 0.02
    total = loose + no_spark + others
    given = {"joint_tight": False, "spark": "none"}
    assert chance("loose_connection", TANK, given) == pytest.approx(loose / total)
    assert chance("no_spark", TANK, given) == pytest.approx(no_spark / total)


def test_sums_over_what_was_not_taken_against_plain_loops() -> None:
    model = network()
    flame, volts, load = (
        model.nodes[name] for name in ("flame", "millivolts_open", "millivolts_loaded")
    )
    for seen in ({}, {"flame": "small"}, {"millivolts_open": "low"}, {"millivolts_loaded": "good"}):
        plain = np.zeros(len(FINDING_ORDER))
        for f, v, m in product(flame.words, volts.words, load.words):
            said = {"flame": f, "millivolts_open": v, "millivolts_loaded": m}
            if any(said[name] != word for name, word in seen.items()):
                continue
            i, j, k = flame.words.index(f), volts.words.index(v), load.words.index(m)
            plain += flame.given[0, i] * volts.given[i, j] * load.given[j, k]
        assert model.likelihood(seen) == pytest.approx(plain, abs=1e-12)


def test_a_voltage_low_in_a_poor_flame_says_little_of_the_element() -> None:
    in_poor = chance("element_worn", TANK, {"flame": "small", "millivolts_open": 12})
    flame_alone = chance("element_worn", TANK, {"flame": "small"})
    in_good = chance("element_worn", TANK, {"flame": "good", "millivolts_open": 12})
    assert in_poor < 1.3 * flame_alone
    assert in_good > 0.7


def test_low_open_and_low_loaded_are_not_counted_twice() -> None:
    once = chance("element_worn", TANK, {"flame": "good", "millivolts_open": 12})
    both = {"flame": "good", "millivolts_open": 12, "millivolts_loaded": 5}
    assert chance("element_worn", TANK, both) == pytest.approx(once, abs=0.05)


# The ranking


def test_what_the_plate_rules_out_has_no_probability_and_the_reason() -> None:
    ranked = {each.finding: each for each in rank_findings(TANK, Readings())}
    assert ranked[Finding.THERMOPILE_WEAK].probability == 0
    assert ranked[Finding.THERMOPILE_WEAK].why == (
        "By its plate the heater has pilot thermocouple ignition; "
        '"Thermopile weak" cannot be found on it.',
    )
    assert ranked[Finding.VAPOR_SENSOR_TRIPPED].why == (
        'By its plate the chamber is open; "Vapor sensor tripped" is of a sealed one.',
    )
    for on in (TANK, SEALED, THERMOPILE, HOT, PROPANE):
        for each in rank_findings(on, Readings()):
            assert (each.probability == 0) == bool(plate_rules_out(each.finding, on))


def test_it_says_which_readings_moved_a_finding_and_which_way() -> None:
    ranked = rank_findings(TANK, Readings(flame="small", joint_tight=True))
    assert ranked[0].finding is Finding.WEAK_PILOT
    assert ranked[0].why == ("The pilot flame is small: more likely.",)
    loose = next(each for each in ranked if each.finding is Finding.LOOSE_CONNECTION)
    assert loose.why == (
        "The joint at the control is clean and tight: less likely.",
        "The pilot flame is small: less likely.",
    )
    assert rank_findings(TANK, Readings())[0].why == (UNSAID,)


def test_an_old_heater_leaks_and_wears_more_than_a_young_one() -> None:
    old, young = plate(manufactured=date(2008, 1, 1)), plate(manufactured=date(2024, 1, 1))
    for finding in ("tank_leak", "element_worn", "control_magnet"):
        assert chance(finding, old, {}, on=ON) > chance(finding, TANK, {}, on=ON)
        assert chance(finding, TANK, {}, on=ON) > chance(finding, young, {}, on=ON)
    assert chance("tank_leak", old, {}) == chance("tank_leak", TANK, {}), "age not known"


def test_a_tank_seen_to_leak_or_not() -> None:
    assert chance("tank_leak", TANK, {}, hazards=Hazards(tank_leaks=True)) > 0.85
    assert chance("tank_leak", TANK, {}, hazards=Hazards()) < 0.01
    assert 0.02 < chance("tank_leak", TANK, {}) < 0.08


def test_the_control_is_rare_until_all_before_it_is_ruled_out() -> None:
    assert chance("control_magnet", TANK, {"drops_when_released": True}) < 0.05


def test_a_reading_that_cannot_be_right_counts_as_not_taken() -> None:
    assert told_of(TANK, Readings(millivolts_open=-14, millivolts_loaded=300)) == {}
    assert told_of(HOT, Readings(millivolts_open=12)) == {}
    assert rank_findings(TANK, Readings(millivolts_open=-14)) == rank_findings(TANK, Readings())


def test_the_makers_figure_for_the_control_decides_at_drop_out() -> None:
    four = {"millivolts_at_drop_out": 4}
    strict, lenient = plate(drop_out_most_millivolts=3), plate(drop_out_most_millivolts=6)
    unknown = chance("control_magnet", TANK, four)
    assert chance("control_magnet", strict, four) > 5 * unknown
    assert chance("control_magnet", lenient, four) < unknown


def test_prior_adds_to_one() -> None:
    for on in (TANK, SEALED, THERMOPILE, HOT):
        assert prior_of(on, ON).sum() == pytest.approx(1)


# The next reading


def test_expected_information_by_hand() -> None:
    # Two outcomes of one reading about one finding: H(p) - sum of P(word) H(p after it)
    def entropy(p: float) -> float:
        return -(p * log2(p) + (1 - p) * log2(1 - p))

    p = 6 / 92
    loose_no, other_no = 0.96 * p, 0.05 * (1 - p)
    no = loose_no + other_no
    after_no, after_yes = loose_no / no, 0.04 * p / (1 - no)
    bits = entropy(p) - no * entropy(after_no) - (1 - no) * entropy(after_yes)
    given = {"finding": Finding.LOOSE_CONNECTION, "among": {"joint_tight"}}
    told = next_reading(TANK, Readings(), **given)
    assert told is not None
    assert told.bits == pytest.approx(bits)
    assert told.minutes == 2  # a minute, and one for the wrench
    assert {each.word: round(each.chance, 6) for each in told.outcomes} == {
        "yes": round(1 - no, 6),
        "no": round(no, 6),
    }


def test_the_flame_is_looked_at_first_and_a_look_beats_a_meter() -> None:
    told = next_reading(TANK, Readings())
    assert told is not None
    assert told.reading == "flame"
    assert told.fields == ("flame",)
    assert told.why == (
        'Pilot flame, about 1 min: "good" would put "Sensing element worn" at 44% (now 28%); '
        '"small" would put "Weak pilot flame" at 80% (now 15%).'
    )


def test_a_tool_that_is_out_makes_its_next_reading_quicker() -> None:
    assert minutes_for("fuse_ohms") == 4
    assert minutes_for("fuse_ohms", {"meter"}) == 2
    looked = {"flame": "good", "drops_when_released": True, "element_clean": True}
    metered = Readings.model_validate({**looked, "limit_ohms": 0})
    first = next_reading(TANK, metered, among={"fuse_ohms"})
    assert first is not None
    assert first.minutes == 2


def test_a_named_finding_is_asked_about_and_not_the_others() -> None:
    told = next_reading(SEALED, Readings(flame="good"), finding=Finding.DOOR_SEAL_DAMAGED)
    assert told is not None
    assert told.reading == "door_seal_sound"
    assert {each.finding for each in told.outcomes} == {Finding.DOOR_SEAL_DAMAGED}


def test_holding_and_letting_go_are_one_reading_with_what_is_left_of_it() -> None:
    told = next_reading(TANK, Readings(holds_while_pressed=True), among={"hold"})
    assert told is not None
    assert told.fields == ("drops_when_released",)
    assert next_reading(TANK, Readings(holds_while_pressed=False), among={"hold"}) is None


def test_nothing_is_measured_while_it_smells_of_gas_or_flue_gas_spills() -> None:
    for hazard in ("gas_odor", "flue_spills_or_co"):
        assert next_reading(TANK, Readings(), hazards=Hazards(**{hazard: True})) is None
    assert next_reading(TANK, Readings(), hazards=Hazards()) is not None


def test_a_finding_that_the_plate_rules_out_has_no_next_reading() -> None:
    assert next_reading(TANK, Readings(), finding=Finding.IGNITER_OPEN) is None


def test_the_outlet_is_not_asked_for_without_a_set_point() -> None:
    given = {"finding": Finding.THERMOSTAT_DRIFT, "among": {"outlet_f"}}
    assert next_reading(TANK, Readings(), **given) is None
    assert next_reading(TANK, Readings(), 125, **given) is not None
