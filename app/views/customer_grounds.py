"""Every number of a quote opened: what it is made of, and how it came about, in plain words."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from app.views import customer_ground_words as ground_words
from app.views import customer_words as words
from app.views.customer_prices import build_price_table

if TYPE_CHECKING:
    from collections.abc import Iterator

    from app.language.speech import Speech
    from app.views.customer_facts import Fact
    from app.views.customer_sides import OtherReplacement, Side
    from app.views.customer_verdict import VerdictShown
    from app.visit import Visit
    from estimator.comparison import PathCost
    from estimator.estimate import Estimate, RepairPath, ReplacementPath

Rows = tuple[tuple[str, str], ...]

_DIGIT: Final = re.compile(r"\d")
# A sentence of the verdict by its beginning → how its numbers came about.
_DIFFERENCE = re.compile(r"(Repairing|Replacing) is expected to cost")
_BY_BEGINNING: Final = (
    (re.compile(r"(Repairing|Replacing) would be the cheaper|With all else"), "SAME_COST"),
    (re.compile(r"Once repaired"), "PLANNED"),
    (re.compile(r".* would cost less over the years compared"), "OVER_STUDY"),
)


@dataclass(frozen=True)
class Ground:
    """One number, or a sentence with numbers, and what it rests on.

    `of` names the field of the view that shows it, `about` says what it is, `value` is the
    number or the sentence as it is shown. `rows` are what it is made of or rests on.
    """

    of: str
    about: str
    value: str
    rows: Rows
    how: str


@dataclass(frozen=True)
class Opened:
    """What the grounds are built from: the estimate, and the view as far as it is built."""

    visit: Visit
    estimate: Estimate
    compared: ReplacementPath | None
    repair: Side
    replace: Side
    others: tuple[OtherReplacement, ...]
    verdict: VerdictShown
    facts: tuple[Fact, ...]
    lump: bool


def build_grounds(opened: Opened, speech: Speech) -> tuple[Ground, ...]:
    """Open every number of the two sides, of the verdict and of the other heaters.

    Parameters
    ----------
    opened
        The estimate and the parts of the view that show its numbers.
    speech
        The language and the units.

    Returns
    -------
    One for each number or sentence with a number, in the order of the page.
    """
    made = _Grounds(opened, speech)
    return (*made.sides(), *made.verdict(), *made.others())


class _Grounds:
    def __init__(self, opened: Opened, speech: Speech) -> None:
        self._opened, self._speech = opened, speech
        estimate = opened.estimate
        self._years = speech.formats.years(estimate.study_years)
        self._rate = speech.formats.percent(estimate.real_discount_rate)

    def sides(self) -> Iterator[Ground]:
        opened, estimate = self._opened, self._opened.estimate
        if opened.repair.open:
            yield from self._side(opened.repair, estimate.repair)
        if opened.compared is not None and opened.replace.open:
            yield from self._side(opened.replace, opened.compared)

    def verdict(self) -> Iterator[Ground]:
        opened, verdict = self._opened, self._opened.estimate.verdict
        shown = opened.verdict
        if shown.compared:
            yield self._difference("verdict.compared", shown.compared)
        for field, told, sources in (
            ("reasons", shown.reasons, verdict.reasons),
            ("turns", shown.turns, verdict.turns_at),
        ):
            for said, source in zip(told, sources, strict=True):
                if _DIGIT.search(said):
                    yield self._judged(f"verdict.{field}", said, source)
        for said in shown.rules_of_thumb:
            if _DIGIT.search(said):
                yield self._sentence("verdict.rules_of_thumb", said, ground_words.RULE)

    def others(self) -> Iterator[Ground]:
        paths = {path.slug: path for path in self._opened.estimate.replacements}
        for other in self._opened.others:
            path, of = paths[other.key], f"others.{other.key}"
            for said in (*other.checks, other.closed_reason or ""):
                if _DIGIT.search(said):
                    yield self._sentence(f"{of}.to_know", said, ground_words.AS_READ)
            how = self._say(ground_words.ENERGY_NEW)
            yield Ground(f"{of}.energy", other.name, other.energy, self._rests(), how)
            if not other.open:
                continue
            yield self._priced(f"{of}.you_pay", other.name, other.you_pay or "", path)
            yield self._monthly(f"{of}.per_month", other.name, other.per_month or "", path.cost)

    def _say(self, said: str) -> str:
        slots = {"years": self._years, "rate": self._rate}
        return self._speech.say(said, **slots) if "{" in said else self._speech.say(said)

    def _about(self, path: str, label: str) -> str:
        return self._speech.say(ground_words.ABOUT, path=path, what=label.lower())

    def _label(self, key: str) -> str:
        return self._speech.say(words.LABELS[key])

    def _sentence(self, of: str, said: str, how: str, rows: Rows = ()) -> Ground:
        return Ground(of, "", said, rows, self._say(how))

    # ---- One side

    def _side(self, side: Side, path: RepairPath | ReplacementPath) -> Iterator[Ground]:
        cost, key, label = path.cost, side.key, side.label
        price_label = self._label("price_today")
        about = self._about(label, price_label)
        yield self._priced(f"{key}.price_today", about, side.price_today or "", path)
        if side.incentives:
            about = self._about(label, self._label("incentives"))
            how = self._say(ground_words.PAID_BY_OTHERS)
            yield Ground(f"{key}.incentives", about, side.incentives, (), how)
        for said in side.offers:
            yield self._sentence(f"{key}.offers", said, ground_words.OFFERED)
        rows: Rows = ((price_label, side.price_today or ""),)
        if side.incentives:
            rows += ((self._label("incentives"), f"\N{MINUS SIGN}{side.incentives}"),)
        about = self._about(label, self._label("your_price"))
        how = self._say(ground_words.YOU_PAY)
        yield Ground(f"{key}.you_pay", about, side.you_pay or "", rows, how)
        about = self._about(label, self._say(words.OVER_STUDY))
        how = self._say(ground_words.OVER_STUDY)
        parts = self._parts_of(cost)
        yield Ground(f"{key}.over_study", about, side.over_study or "", parts, how)
        about = self._about(label, self._label("per_month"))
        yield self._monthly(f"{key}.per_month", about, side.per_month or "", cost)
        yield from self._bought(side)

    def _priced(
        self, of: str, about: str, value: str, path: RepairPath | ReplacementPath
    ) -> Ground:
        if self._opened.lump:
            return Ground(of, about, value, (), self._say(ground_words.ONE_PRICE))
        table = build_price_table(path.priced, about, lump=False, speech=self._speech)
        rows = tuple((row.description, row.amount) for row in table.rows) + table.sums
        return Ground(of, about, value, rows, self._say(ground_words.PRICE))

    def _monthly(self, of: str, about: str, value: str, cost: PathCost) -> Ground:
        in_all = (self._say(words.OVER_STUDY), self._speech.formats.whole_money(cost.lcc))
        return Ground(of, about, value, (in_all,), self._say(ground_words.PER_MONTH))

    def _parts_of(self, cost: PathCost) -> Rows:
        """Return what a cost over the study is made of; the parts add up to it."""
        money, say = self._speech.formats.whole_money, self._say
        running = cost.running[-1] if cost.running else 0.0
        later = cost.cumulative[-1] - cost.first_cost - running
        return (
            (self._label("your_price"), money(cost.first_cost)),
            (say(ground_words.RUNNING), money(running)),
            (say(ground_words.BOUGHT_LATER), money(later)),
            (say(ground_words.VALUE_AT_END), money(-cost.residual)),
        )

    def _bought(self, side: Side) -> Iterator[Ground]:
        for key, said in zip(side.buys_keys, side.buys, strict=True):
            if not _DIGIT.search(said):
                continue
            how, rows = {
                "life": (ground_words.LIFE_LEFT, self._fact(words.AGE)),
                "energy": (ground_words.ENERGY_NOW, self._rests()),
                "energy_new": (ground_words.ENERGY_NEW, self._rests()),
                "value": (ground_words.VALUE_LEFT, ()),
                "plan": (ground_words.PLANNED, ()),
            }.get(key, (ground_words.WAIT, ()))
            fuel = self._speech.say(words.FUELS[self._opened.visit.heater.fuel])
            told = self._speech.say(how, fuel=fuel, rate=self._rate)
            yield Ground(f"{side.key}.buys", "", said, rows, told)
        for said in side.checks:
            if _DIGIT.search(said):
                yield self._sentence(f"{side.key}.checks", said, ground_words.AS_READ)

    def _fact(self, label: str) -> Rows:
        said = self._speech.say(label)
        return tuple((fact.label, fact.value) for fact in self._opened.facts if fact.label == said)

    def _rests(self) -> Rows:
        """Return the facts that the energy of a year rests on."""
        kept = self._opened.facts[1:-2]
        assumed = self._label("assumed")
        return tuple(
            (f"{fact.label} ({assumed})" if fact.assumed else fact.label, fact.value)
            for fact in kept
        )

    # ---- The verdict

    def _difference(self, of: str, said: str) -> Ground:
        opened, money = self._opened, self._speech.formats.whole_money
        rows: Rows = ((opened.repair.label, money(opened.estimate.repair.cost.lcc)),)
        if opened.compared is not None:
            rows += ((opened.replace.label, money(opened.compared.cost.lcc)),)
        return self._sentence(of, said, ground_words.DIFFERENCE, rows)

    def _judged(self, of: str, said: str, source: str) -> Ground:
        if _DIFFERENCE.match(source):
            return self._difference(of, said)
        if source.startswith("Repairing turns out cheaper"):
            return self._chance(of, said)
        for beginning, how in _BY_BEGINNING:
            if beginning.match(source):
                return self._sentence(of, said, getattr(ground_words, how))
        return self._sentence(of, said, ground_words.AS_READ)

    def _chance(self, of: str, said: str) -> Ground:
        futures, formats = self._opened.estimate.futures, self._speech.formats
        error = formats.number(100 * futures.chance_standard_error, 1)
        draws = formats.number(futures.draws)
        how = self._speech.say(ground_words.CHANCE, draws=draws, error=error)
        return Ground(of, "", said, (), how)
