"""What the customer reads: both sides, plain words, and nothing of cost or margin."""

from __future__ import annotations

import json
import re
from dataclasses import asdict, fields, is_dataclass
from datetime import date
from decimal import Decimal
from typing import Any, get_args, get_type_hints

import pytest

from app.views import customer_words as words
from app.views.customer import CustomerView, build_customer_view
from app.views.customer_chart import crossings
from app.views.customer_state import Issued
from app.visit import Work
from estimator.cautions import Caution
from estimator.estimate import Estimate
from estimator.evidence import Grade, Support
from estimator.findings import FINDINGS, REMEDIES, Finding, Remedy
from estimator.heater import Fuel, Household
from estimator.rates import RateSheet, rate_sheet_to
from estimator.supply import FitClass, Incentive, Stock
from estimator.verdict import VerdictKind
from tests.app import estimates
from tests.app.ledger.support import rate_sheet

ISSUED = Issued("Q-0042", 2, date(2026, 3, 5), date(2026, 4, 4))
EVERY_KIND = (
    estimates.estimate,
    estimates.either,
    estimates.repair_closed_by_leak,
    estimates.no_part,
    estimates.replacements_closed,
    estimates.everything_closed,
)


def view_of(estimate: Estimate | None = None, **changes: Any) -> CustomerView:
    return build_customer_view(
        changes.get("visit", estimates.visit()),
        estimate or estimates.estimate(),
        changes.get("shop", estimates.SHOP),
        changes.get("terms", estimates.TERMS),
        changes.get("issued"),
    )


def test_both_sides_say_the_price_per_month_and_in_all() -> None:
    view = view_of()
    assert view.repair.price_today == "$275.40"
    assert view.repair.per_month == "$46"
    assert view.repair.over_study == "$5,525"
    assert view.replace.price_today == "$1,749.60"
    assert view.replace.over_study == "$5,696"
    assert view.per_month_label == "Per month over 12 years"


def test_what_is_wrong_is_said_in_plain_words() -> None:
    assert view_of().finding_plain == FINDINGS[Finding.ELEMENT_WORN].plain


def test_the_cheapest_open_replacement_by_life_cycle_cost_is_compared() -> None:
    dear = estimates.replacement("dear", "Dear to run", "900.00", lcc_shift=500)
    closed = estimates.replacement(
        "closed", "Closed", "100.00", lcc_shift=-900, closed_reason="No circuit."
    )
    cheap = estimates.replacement("cheap", "Cheap to run", "1800.00", lcc_shift=-10)
    view = view_of(estimates.estimate(replacements=(dear, closed, cheap)))
    assert view.replace.what == "Cheap to run"
    assert [other.name for other in view.others] == ["Dear to run", "Closed"]
    assert view.others[1].you_pay is None
    assert view.others[1].closed_reason == "No circuit."


def test_a_replacement_that_may_not_go_here_is_compared_only_for_want_of_another() -> None:
    doubtful = estimates.replacement("a", "Doubtful", lcc_shift=-500, settled=False)
    sure = estimates.replacement("b", "Sure")
    assert view_of(estimates.estimate(replacements=(doubtful, sure))).replace.what == "Sure"
    assert view_of(estimates.estimate(replacements=(doubtful,))).replace.what == "Doubtful"


def test_what_is_to_be_checked_for_both_is_said_once() -> None:
    first = estimates.replacement("a", "First", check_these=("Is there a drain",))
    second = estimates.replacement(
        "b", "Second", lcc_shift=50, check_these=("Is there a drain", "Is there an outlet?")
    )
    view = view_of(estimates.estimate(replacements=(first, second)))
    assert view.replace.checks == ("Is there a drain",)
    assert view.others[0].checks == ("Is there an outlet?",)


def test_incentives_are_taken_off_what_the_customer_pays() -> None:
    helped = estimates.replacement(incentives=Decimal(300))
    view = view_of(estimates.estimate(replacements=(helped,)), issued=ISSUED)
    assert view.replace.price_today == "$1,749.60"
    assert view.replace.incentives == "$300.00"
    assert view.replace.you_pay == "$1,449.60"
    assert any("$1,449.60" in choice for choice in view.choices)


@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("en", ("$200.00: Rebate A, until December 31, 2026", "$100.00: Rebate B")),
        ("es", ("$200.00: Rebate A, hasta el 31 de diciembre de 2026", "$100.00: Rebate B")),
    ],
)
def test_who_pays_an_incentive_and_until_when_is_said(language: str, said: tuple[str, ...]) -> None:
    offered = (
        Incentive(name="Rebate A (invented)", amount=Decimal(200), last_day=date(2026, 12, 31)),
        Incentive(name="Rebate B (invented)", amount=Decimal(100)),
    )
    helped = estimates.replacement(incentives=Decimal(300))

    def offers(*held: Incentive) -> tuple[str, ...]:
        view = build_customer_view(
            estimates.visit(), estimates.estimate(replacements=(helped,)), estimates.SHOP,
            estimates.TERMS, language=language, incentives={helped.slug: held},
        )  # fmt: skip
        assert {ground.value for ground in view.grounds} >= set(view.replace.offers)
        return view.replace.offers

    assert offers(*offered) == said
    assert offers(offered[0]) == (said[0].removeprefix("$200.00: "),)
    assert offers() == ()


@pytest.mark.parametrize(
    ("build", "headline"),
    [
        (estimates.estimate, words.REPAIR_COSTS_LESS),
        (estimates.either, words.EITHER_IS_SOUND),
        (estimates.repair_closed_by_leak, words.ONLY_REPLACE),
        (estimates.no_part, words.ONLY_REPLACE),
        (estimates.replacements_closed, words.ONLY_REPAIR),
        (estimates.everything_closed, words.NEITHER),
    ],
)
def test_the_headline_follows_what_is_open_and_the_verdict(build: Any, headline: str) -> None:
    assert view_of(build()).verdict.headline == headline


def test_a_verdict_for_replacing_reads_so() -> None:
    verdict = estimates.estimate().verdict.model_copy(update={"kind": VerdictKind.REPLACE})
    view = view_of(estimates.estimate(verdict=verdict))
    assert view.verdict.headline == words.REPLACE_COSTS_LESS


def test_a_closed_repair_shows_its_reason_and_no_price() -> None:
    view = view_of(estimates.repair_closed_by_leak(), issued=ISSUED)
    assert not view.repair.open
    assert view.repair.price_today is None
    assert view.repair.prices is None
    assert "leak" in (view.repair.closed_reason or "")
    assert "275.40" not in json.dumps(asdict(view))
    assert not any(choice.startswith("Repair") for choice in view.choices)
    assert view.stops[0].what_to_do.startswith("Replace the heater.")


def test_a_stop_that_closes_both_is_said_before_a_new_heater_is_lit() -> None:
    estimate = estimates.estimate(stops=(estimates.FLUE_STOP,))
    assert view_of(estimate).replace.checks[0].startswith("Before a new heater may be lit:")


def test_what_is_said_of_a_stop_ends_as_sentences() -> None:
    stop = view_of(estimates.everything_closed()).stops[0]
    assert stop.why == "Flue gas spills into the room."
    assert stop.what_to_do.endswith("path you take.")


def test_every_replacement_closed_leaves_the_repair_and_their_reasons() -> None:
    view = view_of(estimates.replacements_closed(), issued=ISSUED)
    assert view.repair.open
    assert view.replace.closed_reason == words.NO_REPLACEMENT
    assert len(view.others) == 2
    assert view.chart is not None
    assert [line.key for line in view.chart.lines] == ["repair"]
    assert view.verdict.compared == ""


def test_no_replacement_at_all_is_said() -> None:
    view = view_of(estimates.estimate(replacements=()))
    assert view.replace.closed_reason == words.NONE_OFFERED


def test_when_everything_is_closed_there_is_nothing_to_sign_and_no_chart() -> None:
    view = view_of(estimates.everything_closed(), issued=ISSUED)
    assert view.choices == ()
    assert view.chart is None
    assert view.monthly_means == ""


def test_a_draft_is_not_signed_and_an_issued_quote_offers_every_open_path_and_neither() -> None:
    assert view_of().choices == ()
    assert view_of().heading.number is None
    choices = view_of(issued=ISSUED).choices
    assert choices == (
        "Repair: Replace the sensing element, $275.40",
        "Replace: 40 gallon gas tank, $1,749.60",
        "Replace: 40 gallon high-efficiency gas tank, $2,418.00",
        "Neither for now",
    )
    assert view_of(issued=ISSUED).heading.valid_text == "These prices hold until April 4, 2026."


def test_lump_sum_hides_the_items_but_not_the_total() -> None:
    terms = estimates.TERMS.model_copy(update={"lump_sum": True})
    prices = view_of(terms=terms).repair.prices
    assert prices is not None
    assert [row.amount for row in prices.rows] == ["$275.40"]
    assert prices.total == "$275.40"
    assert "46.20" not in json.dumps(asdict(view_of(terms=terms)))


def test_items_add_up_with_discount_and_tax_shown() -> None:
    job = estimates.priced("Job", estimates.REPAIR_LINES, tax="3.70", discount="10.00")
    view = view_of(estimates.estimate(repair=estimates.repair(priced=job)))
    assert view.repair.prices is not None
    assert view.repair.prices.sums == (
        ("Subtotal", "$271.70"),
        ("Discount (Plan member)", "\u2212$10.00"),
        ("Sales tax", "$3.70"),
    )
    assert view.repair.prices.total == "$265.40"


@pytest.mark.parametrize(
    ("stocks", "sentence"),
    [
        ((Stock(van=1), Stock(van=3)), words.PART_ON_VAN),
        ((Stock(van=1), Stock(branch=2)), words.PART_AT_BRANCH),
        ((Stock(branch=1), Stock(order_days=4)), "The part must be ordered: about 4 days."),
        ((Stock(),), words.PART_UNKNOWN),
    ],
)
def test_the_part_that_is_hardest_to_get_is_said(stocks: tuple[Stock, ...], sentence: str) -> None:
    part = estimates.estimate().parts[0]
    parts = tuple(part.model_copy(update={"stock": stock}) for stock in stocks)
    assert view_of(estimates.estimate(parts=parts)).repair.buys[0] == sentence


def test_what_is_to_be_checked_on_a_part_is_said_once_and_in_plain_words() -> None:
    part = (
        estimates.estimate()
        .parts[0]
        .model_copy(
            update={
                "check_these": ("Connection: 11/32-32 left hand",),
                "fit_class": FitClass.UNIVERSAL,
            }
        )
    )
    view = view_of(estimates.estimate(parts=(part, part)))
    assert view.repair.checks == (words.PART_CHECK,)


def test_assumed_things_are_marked_and_said() -> None:
    view = view_of(visit=estimates.visit(household=Household()))
    marked = {fact.label for fact in view.facts if fact.assumed}
    assert "Energy rating (UEF)" in marked
    assert "Hot water" in marked
    assert "Price of natural gas" in marked
    assert words.UNKNOWN_RATING in view.unknowns
    assert (
        "We also do not know how much hot water you use, how cold the water comes in, what you "
        "pay for energy and how long you will stay. We used the numbers marked “assumed”."
    ) in view.unknowns


def test_given_things_are_not_called_unknown() -> None:
    household = Household(
        gallons_per_day=54.6, inlet_f=58, natural_gas_per_therm=1.5, years_in_house=12
    )
    heater = estimates.heater_facts(rating_assumed=False, recovery_assumed=False)
    view = view_of(estimates.estimate(heater=heater), visit=estimates.visit(household=household))
    assert not any(fact.assumed for fact in view.facts)
    assert view.unknowns == (words.OWN_LIFE, words.LATER_PRICES)


def test_propane_price_is_said_per_gallon() -> None:
    plate = estimates.visit().heater.model_copy(update={"fuel": Fuel.PROPANE})
    view = view_of(visit=estimates.visit(heater=plate))
    fact = next(fact for fact in view.facts if fact.label == "Price of propane")
    # 294.15 / 196.1 USD a therm times 0.91333 therm a gallon (16 CFR 305 appendix)
    assert fact.value == "$1.37 per gallon"


def test_readings_that_do_not_settle_the_finding_are_said() -> None:
    against = Grade(support=Support.CONTRADICTED, contradicting=("25 mV open circuit.",))
    view = view_of(estimates.estimate(grade=against))
    assert view.unknowns[0] == "Some readings speak against what we found: 25 mV open circuit."
    view = view_of(estimates.estimate(grade=Grade(support=Support.OPEN)))
    assert view.unknowns[0] == words.READINGS_OPEN


def test_cautions_are_sorted_by_topic_and_only_published_sources_are_named() -> None:
    extra = (
        Caution(code="universal", message="This part is a universal one.", topic="fit"),
        Caution(code="odd", message="The date was hard to read.", topic="assumed"),
    )
    view = view_of(estimates.estimate(cautions=(*estimates.CAUTIONS, *extra)))
    assert [note.source for note in view.cautions] == ["", "CPSC 5098", ""]
    assert [note.text for note in view.notes] == ["This part is a universal one."]
    assert "The date was hard to read." in view.unknowns


def test_an_invented_visit_marks_the_quote_even_of_a_shop_that_is_not() -> None:
    shop = estimates.SHOP.model_copy(update={"invented": False})
    assert view_of(shop=shop).shop.invented
    assert not view_of(shop=shop, visit=estimates.visit(invented=False)).shop.invented


# ---- The chart


def test_lines_cross_where_straight_lines_meet() -> None:
    # 0 + 10 t meets 15 + 5 t at t = 3 exactly, 4 + 8 t meets 15 + 5 t at 11/3
    assert crossings((0, 10, 20, 30, 40), (15, 20, 25, 30, 35)) == (3.0,)
    assert crossings(tuple(4 + 8 * t for t in range(6)), tuple(15 + 5 * t for t in range(6))) == (
        pytest.approx((11 / 3,))
    )


def test_touching_is_not_crossing_and_every_crossing_is_found() -> None:
    assert crossings((0, 5, 10), (3, 5, 12)) == ()
    assert crossings((0, 4, 0, 4), (2, 2, 2, 2)) == pytest.approx((0.5, 1.5, 2.5))
    assert crossings((1, 1), (1, 1)) == ()


def test_the_chart_says_where_the_lines_cross() -> None:
    chart = view_of().chart
    assert chart is not None
    assert chart.crosses_years == pytest.approx((11.52,), abs=0.01)
    assert chart.description.startswith(
        "The lines cross in year 12. Up to then repairing has cost less; after that, replacing."
    )
    assert chart.lines[0].cumulative_usd == estimates.estimate().repair.cost.cumulative
    assert chart.lines[1].amounts[-1] == "$6,106"


def test_the_chart_says_so_when_lines_do_not_cross() -> None:
    far = estimates.replacement(lcc_shift=2000)
    chart = view_of(estimates.estimate(replacements=(far,))).chart
    assert chart is not None
    assert "do not cross within 12 years: repairing has cost less all along" in chart.description


# ---- The shop's terms


def test_terms_are_said_in_the_language_that_the_owner_wrote_them_in() -> None:
    terms = estimates.TERMS.model_copy(update={"terms": "Pay in ten days."})
    both = terms.model_copy(update={"terms_es": "Pague en diez días."})
    assert said_terms(both, "en") == "Pay in ten days."
    assert said_terms(both, "es") == "Pague en diez días."
    assert said_terms(terms, "es") == "Pay in ten days. (solo en inglés)"
    assert said_terms(terms, "en") == "Pay in ten days."
    assert said_terms(terms.model_copy(update={"terms": ""}), "es") == ""


def test_a_heater_of_the_shop_s_own_is_said_in_spanish_by_the_owner_s_words() -> None:
    made = estimates.estimate(replacements=(estimates.replacement(name="The Big One, 75 gal"),))
    own = "The Big One = El Grande\n\n75 gal = 75 galones"
    terms = estimates.TERMS.model_copy(update={"words_es": own})
    names = {}
    for language in ("en", "es"):
        view = build_customer_view(
            estimates.visit(), made, estimates.SHOP, terms, language=language
        )
        assert view.replace is not None
        names[language] = view.replace.what
    assert "The Big One, 75 gal" in names["en"]
    assert "El Grande, 75 galones" in names["es"]


def said_terms(terms: Any, language: str) -> str:
    visit, shop = estimates.visit(), estimates.SHOP
    return build_customer_view(visit, estimates.estimate(), shop, terms, language=language).terms


def test_a_rate_sheet_of_before_there_were_spanish_terms_is_read_as_it_was() -> None:
    values = rate_sheet_to(rate_sheet())
    assert values["quote"].pop("terms_es") == ""
    assert RateSheet.model_validate_json(json.dumps(values)) == rate_sheet()


# ---- Nothing of cost or margin

FORBIDDEN_NAMES = re.compile(r"margin|markup|unit_cost|list_price|floor|profit|burden|overhead")


def _names(kind: Any, seen: set[Any]) -> set[str]:
    """Return the names of all fields reachable from a dataclass."""
    found: set[str] = set()
    if is_dataclass(kind) and kind not in seen:
        seen.add(kind)
        hints = get_type_hints(kind)
        for field in fields(kind):
            found.add(field.name)
            found |= _names(hints[field.name], seen)
    for inner in get_args(kind):
        found |= _names(inner, seen)
    return found


def test_no_field_of_the_view_is_one_of_cost_or_margin() -> None:
    names = _names(CustomerView, set())
    assert {"price_today", "cumulative_usd", "unit_price"} <= names  # the walk goes deep
    assert not [name for name in names if FORBIDDEN_NAMES.search(name) or name == "cost"]


@pytest.mark.parametrize("build", EVERY_KIND)
def test_no_value_of_cost_or_margin_is_in_the_view(build: Any) -> None:
    owner = estimates.owner_estimate()
    hidden = (
        str(owner.repair_margin.cost),
        "41.77",
        str(owner.repair_margin.gross_margin),
        "43.21",
        str(estimates.TERMS.margin_floor),
    )
    text = json.dumps(asdict(view_of(build(), issued=ISSUED)))
    assert "275.40" in text or "1,749.60" in text or build is estimates.everything_closed
    assert not [value for value in hidden if value in text]
    assert not re.search(r"margin|markup|wholesale", text, re.IGNORECASE)


# ---- Plain words


def reading_grade(text: str) -> float:
    """Grade a text by Flesch and Kincaid.

    0.39 words per sentence + 11.8 syllables per word - 15.59 (Kincaid, Fishburne, Rogers
    and Chissom, 1975; coefficients from memory). Syllables are runs of vowels, a silent e
    at the end not counted.
    """
    sentences = max(1, len(re.findall(r"[.!?:;](?:\s|$)", text)))
    spoken = re.findall(r"[A-Za-z']+", text)
    syllables = 0
    for word in spoken:
        runs = len(re.findall(r"[aeiouy]+", word.lower()))
        silent = word.lower().endswith("e") and not word.lower().endswith(("le", "ee")) and runs > 1
        syllables += max(1, runs - silent)
    return 0.39 * len(spoken) / sentences + 11.8 * syllables / len(spoken) - 15.59


def test_the_reading_grade_tells_hard_from_easy() -> None:
    easy = "The tank leaks. We can not mend it. You need a new one."
    hard = (
        "Notwithstanding considerable uncertainty concerning anticipated expenditures, "
        "immediate rehabilitation constitutes an economically preferable alternative."
    )
    assert reading_grade(easy) < 3 < 16 < reading_grade(hard)


@pytest.mark.parametrize("build", EVERY_KIND)
def test_our_own_words_read_at_eighth_grade_or_easier(build: Any) -> None:
    view = view_of(build(), issued=ISSUED)
    ours = [
        view.finding_plain,
        f"{view.verdict.headline}.",
        view.verdict.compared,
        view.monthly_means,
        *view.repair.buys,
        *view.replace.buys,
        *view.unknowns,
        view.heading.valid_text,
        view.chart.description if view.chart else "",
    ]
    assert reading_grade(" ".join(ours)) <= 8.0


def test_no_word_presses_the_customer() -> None:
    pressing = re.compile(
        r"\b(hurry|act now|today only|last chance|limited|don't miss|best deal|recommend\w*|"
        r"must act|save big|guarantee\w*|urgent\w*)\b",
        re.IGNORECASE,
    )
    said = [value for name, value in vars(words).items() if name.isupper()]
    text = json.dumps(said, default=str)
    assert "Repairing is likely" in text
    assert not pressing.search(text)


@pytest.mark.parametrize("finding", list(Finding))
def test_every_finding_and_remedy_has_a_view(finding: Finding) -> None:
    for remedy in FINDINGS[finding].remedies:
        view = view_of(visit=estimates.visit(work=Work(finding=finding, remedy=remedy)))
        assert view.finding == FINDINGS[finding].name
        if remedy is Remedy.REPLACE_HEATER:
            assert view.repair.what == words.NO_REPAIR
        else:
            assert view.repair.what == REMEDIES[remedy].name
