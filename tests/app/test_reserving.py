"""Stock set aside by quotes, seen from every side: prices, cards, lists, commands, processes."""

from __future__ import annotations

import json
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from pathlib import Path

import pytest

from app import answering, quoting, reserving, restocking, revising, visiting
from app.kits import kits
from app.parts_search import search_parts
from app.shop import Shop
from app.views.stock import build_at_place, build_held_cards, build_low_cards, build_set_aside
from app.visit import Visit
from app.wiring import demo_visit, open_shop
from catalog.offers import stock
from estimator.errors import Trouble
from tests.acting import TESTER
from tests.app.command import run

ROOT = Path(__file__).parents[2]
VISIT_FILE = ROOT / "demo_data" / "visits" / "worn_element.toml"
DAY = visiting.visit_from(demo_visit("worn_element"), "worn_element").visit.date
AT = datetime(DAY.year, DAY.month, DAY.day, 15, 0, tzinfo=UTC)
VAN, BRANCH = "van-1", "branch-1"


@pytest.fixture
def worn() -> Visit:
    return visiting.visit_from(demo_visit("worn_element"), "worn_element")


def issue(shop: Shop, visit: Visit, *, reserve: bool | None = True) -> quoting.IssuedQuote:
    priced = visiting.price_visit(shop, TESTER, visit)
    return quoting.issue_quote(shop, priced, TESTER, AT, reserve=reserve)


def element_of(quote: quoting.IssuedQuote) -> str:
    return str(json.loads(quote.supply_json)["parts"][0]["number"])


def pinned(visit: Visit, number: str) -> Visit:
    """Return the visit with this part picked, wherever it lies."""
    return visit.model_copy(update={"work": visit.work.model_copy(update={"part_number": number})})


def free_of(shop: Shop, number: str) -> tuple[int, int]:
    """Return the pieces of a part that are free on the van and at the branch."""
    found = stock(reserving.free_catalog(shop, DAY), number, VAN)
    return found.van, found.branch


def drained(shop: Shop, visit: Visit) -> str:
    """Issue quotes that hold every piece of the visit's element on the van; return its number."""
    number = element_of(issue(shop, visit))
    while free_of(shop, number)[0]:
        issue(shop, pinned(visit, number))
    return number


def test_what_a_quote_sets_aside_is_off_the_van_everywhere(shop: Shop, worn: Visit) -> None:
    before = visiting.price_visit(shop, TESTER, worn).supply.parts[0]
    assert before.stock.van > 0
    number = drained(shop, worn)
    after = visiting.price_visit(shop, TESTER, pinned(worn, number)).supply.parts[0]
    assert (after.number, after.stock.van) == (number, 0)
    assert after.stock.branch == before.stock.branch
    free = reserving.free_catalog(shop, DAY)
    found = search_parts(free, number, VAN, DAY)
    assert found.standing[number].stock.van == 0
    sheet = shop.ledger.rate_sheets.on(DAY).sheet
    pieces = {
        part.number: part.stock.van
        for kit in kits(free, pinned(worn, number), sheet)
        for part in kit.parts
    }
    assert pieces.get(number, 0) == 0
    assert stock(shop.catalog(), number, VAN).van == before.stock.van  # as it was counted
    assert stock(free, number, "van-2").van == stock(shop.catalog(), number, "van-2").van


def test_quotes_take_from_the_van_then_from_the_branch_then_say_that_others_hold_it(
    shop: Shop, worn: Visit
) -> None:
    priced = [visiting.price_visit(shop, TESTER, worn) for _ in range(12)]  # all see it free
    part = priced[0].supply.parts[0]
    number, on_van, at_branch = part.number, part.stock.van, part.stock.branch
    assert on_van
    assert at_branch
    made = [quoting.issue_quote(shop, each, TESTER, AT, reserve=True) for each in priced]
    lines = [build_set_aside(reserving.set_aside_for(shop, TESTER, quote, DAY)) for quote in made]
    [*said] = [[line for line in each if number in line.sentence] for each in lines]
    assert {len(each) for each in said} == {1}
    first = [each[0] for each in said]
    got = on_van + at_branch
    assert [line.tone for line in first] == ["good"] * got + ["check"] * (12 - got)
    for line in first[:on_van]:
        assert line.sentence.startswith(f"1 of {number} set aside on {VAN} until ")
    for line in first[on_van:got]:
        assert line.sentence.startswith(f"1 of {number} set aside at {BRANCH} until ")
    days = part.stock.order_days
    assert first[-1].sentence == (
        f"{number} on {VAN} was reserved by another quote. To order, {days} days."
    )
    assert free_of(shop, number) == (0, 0)
    reserving.release(shop, TESTER, made[on_van].number, AT)
    lines = build_set_aside(reserving.set_aside_for(shop, TESTER, made[-1], DAY))
    assert f"{number} on {VAN} was reserved by another quote. Free now: 1 at the branch." in [
        line.sentence for line in lines
    ]
    reserving.release(shop, TESTER, made[0].number, AT)
    lines = build_set_aside(reserving.set_aside_for(shop, TESTER, made[-1], DAY))
    assert f"{number} on {VAN} was reserved by another quote. Free now: 1 on the van." in [
        line.sentence for line in lines
    ]


def test_a_part_that_lies_at_the_branch_alone_is_set_aside_there_and_shown_so(
    shop: Shop, worn: Visit
) -> None:
    number = drained(shop, worn)
    before = free_of(shop, number)
    assert before[0] == 0
    quote = issue(shop, pinned(worn, number))
    held = [each for each in shop.ledger.reservations.of(quote.number) if each.part == number]
    assert [(each.place, each.pieces) for each in held] == [(BRANCH, 1)]
    assert free_of(shop, number) == (0, before[1] - 1)
    free = reserving.free_catalog(shop, DAY)
    sheet = shop.ledger.rate_sheets.on(DAY).sheet
    seen = [search_parts(free, number, VAN, DAY).standing[number].stock]
    seen += [
        part.stock
        for kit in kits(free, pinned(worn, number), sheet)
        for part in kit.parts
        if part.number == number
    ]
    seen += [visiting.price_visit(shop, TESTER, pinned(worn, number)).supply.parts[0].stock]
    assert {stock.branch for stock in seen} == {before[1] - 1}
    [line] = [each for each in restocking.running_low(shop, TESTER, DAY) if each.part == number]
    assert line.at_branch == before[1] - 1
    [at] = [each for each in reserving.stock_on(shop, TESTER, BRANCH, DAY) if each.part == number]
    assert (at.free, at.set_aside) == (before[1] - 1, 1)
    again = quoting.issue_quote(
        shop, visiting.price_visit(shop, TESTER, pinned(worn, number)), TESTER, AT,
        revises=quote.number,
    )  # fmt: skip
    assert again.revision == 2
    assert free_of(shop, number) == (0, before[1] - 1)  # moved to the revision, not taken twice
    answering.decline(shop, TESTER, again, "A. Sample", "I want none of them.", AT)
    assert free_of(shop, number) == before


def test_a_visit_without_a_van_takes_from_the_branch(shop: Shop, worn: Visit) -> None:
    walked = worn.model_copy(update={"visit": worn.visit.model_copy(update={"van": ""})})
    quote = issue(shop, walked)
    assert {each.place for each in shop.ledger.reservations.of(quote.number)} == {BRANCH}


def test_declining_at_the_door_gives_the_pieces_back(shop: Shop, worn: Visit) -> None:
    quote = issue(shop, worn)
    assert reserving.held(shop, TESTER, DAY, VAN)
    answering.decline(shop, TESTER, quote, "A. Sample", "I want none of them.", AT)
    assert reserving.held(shop, TESTER, DAY) == ()
    assert reserving.stock_on(shop, TESTER, VAN, DAY)[0].set_aside == 0


def test_accepting_the_repair_keeps_them_and_letting_go_by_hand_ends_it(
    shop: Shop, worn: Visit
) -> None:
    quote = issue(shop, worn)
    answering.accept(shop, TESTER, quote, "repair", "A. Sample", "I agree.", AT)
    [card] = build_held_cards(reserving.held(shop, TESTER, DAY), (BRANCH,))
    assert card.number == quote.number
    [line] = card.lines
    assert line.startswith(f"On {VAN}: ")
    assert f"1 of {element_of(quote)}" in line
    assert reserving.release(shop, TESTER, quote.number, AT) == line.count(" of ")
    assert reserving.held(shop, TESTER, DAY) == ()
    asked = reserving.set_aside_for(shop, TESTER, quote, DAY)
    assert {line.tone for line in build_set_aside(asked)} == {"plain"}


def test_the_shop_sets_whether_a_quote_reserves_where_nobody_says(shop: Shop, worn: Visit) -> None:
    issue(shop, worn, reserve=None)
    assert reserving.held(shop, TESTER, DAY) == ()
    (shop.folder / "shop.toml").write_text("reserve_on_issue = true\n")
    issue(shop, worn, reserve=None)
    assert reserving.held(shop, TESTER, DAY)
    before = len(reserving.held(shop, TESTER, DAY))
    issue(shop, worn, reserve=False)
    assert len(reserving.held(shop, TESTER, DAY)) == before


def test_a_revision_moves_the_reservation_through_the_use_case(shop: Shop, worn: Visit) -> None:
    quote = issue(shop, worn)
    priced = visiting.price_visit(shop, TESTER, worn)
    again = quoting.issue_quote(shop, priced, TESTER, AT, revises=quote.number)
    assert again.revision == 2
    held = reserving.held(shop, TESTER, DAY)
    assert {(each.number, each.revision) for each in held} == {(quote.number, 2)}


def test_changing_a_quote_sees_its_own_pieces_free_and_goes_on_holding_them(
    shop: Shop, worn: Visit
) -> None:
    first = visiting.price_visit(shop, TESTER, worn).supply.parts[0]
    made = [issue(shop, worn) for _ in range(first.stock.van)]  # the last piece is set aside
    again = visiting.visit_from(revising.revise_quote(shop, TESTER, made[0], AT).payload, "draft")
    priced = visiting.price_visit(shop, TESTER, again)
    assert (priced.supply.parts[0].number, priced.supply.parts[0].stock.van) == (first.number, 1)
    assert reserving.reserves_by_default(shop, made[0].number)
    plain = issue(shop, worn, reserve=False)
    assert not reserving.reserves_by_default(shop, plain.number)
    revised = quoting.issue_quote(shop, priced, TESTER, AT)
    assert (revised.number, revised.revision) == (made[0].number, 2)
    [line, *_] = build_set_aside(reserving.set_aside_for(shop, TESTER, revised, DAY))
    assert line.tone == "good"


def test_a_second_tap_on_issue_gives_the_same_quote(shop: Shop) -> None:
    draft = visiting.start_visit(shop, TESTER, AT, demo_visit("worn_element"))
    visit = visiting.visit_from(draft.payload, "draft")

    def tapped() -> quoting.IssuedQuote:
        priced = visiting.price_visit(shop, TESTER, visit, draft_id=draft.draft_id)
        return quoting.issue_quote(shop, priced, TESTER, AT, draft_id=draft.draft_id, reserve=True)

    assert tapped() == tapped()
    assert sum(each.pieces for each in reserving.held(shop, TESTER, DAY)) == len(
        reserving.held(shop, TESTER, DAY)
    )


def test_an_allowance_outlives_a_piece_that_another_quote_takes(shop: Shop, worn: Visit) -> None:
    from app.job import job_digest  # noqa: PLC0415 - beside what it is of

    before = visiting.price_visit(shop, TESTER, worn)
    fixed = pinned(worn, before.supply.parts[0].number)
    first = visiting.price_visit(shop, TESTER, fixed)
    issue(shop, fixed)
    second = visiting.price_visit(shop, TESTER, fixed)
    assert first.supply.parts[0].stock.van == second.supply.parts[0].stock.van + 1
    assert job_digest(first) == job_digest(second)
    cheaper = fixed.work.model_copy(update={"discount": Decimal("0.02")})
    other = visiting.price_visit(shop, TESTER, fixed.model_copy(update={"work": cheaper}))
    assert job_digest(other) != job_digest(second)


def test_what_runs_low_is_by_what_the_quotes_use(shop: Shop, worn: Visit) -> None:
    assert restocking.running_low(shop, TESTER, DAY) == ()
    number = drained(shop, worn)
    low = restocking.running_low(shop, TESTER, DAY, weeks=2)
    [line] = [each for each in low if each.part == number]
    used = len(shop.ledger.quotes.listed(100))
    assert (line.van, line.free, line.used, line.wanted) == (VAN, 0, used, used)
    assert (line.bring, line.used_per_week) == (used, used / 2)
    assert line.at_branch == stock(shop.catalog(), number, VAN).branch
    [card] = [each for each in build_low_cards(low, 2) if each.part == number]
    assert card.bring == f"Bring {used}"
    assert f"{used} should be there" in card.why
    assert restocking.running_low(shop, TESTER, DAY + timedelta(days=15), weeks=2) == ()
    assert restocking.running_low(shop, TESTER, DAY, van="van-2") == ()


def test_declined_quotes_and_those_of_another_path_use_nothing(shop: Shop, worn: Visit) -> None:
    drained(shop, worn)
    made = [shop.ledger.quotes.get(each.number) for each in shop.ledger.quotes.listed(100)]
    slug = next(key for key in answering.choices(made[0]) if key != "repair")
    for place, quote in enumerate(made):
        if place % 2:
            answering.decline(shop, TESTER, quote, "A. Sample", "None of them.", AT)
        else:
            answering.accept(shop, TESTER, quote, slug, "A. Sample", "I agree.", AT)
    assert restocking.running_low(shop, TESTER, DAY) == ()


def test_weeks_and_vans_that_cannot_be_are_refused(shop: Shop) -> None:
    for weeks in (0, -1, 105):
        with pytest.raises(Trouble, match=f"{weeks} weeks are not from 1 to 104"):
            restocking.running_low(shop, TESTER, DAY, weeks)
    with pytest.raises(Trouble, match='The van "van-9" is not in the catalog'):
        restocking.running_low(shop, TESTER, DAY, van="van-9")
    with pytest.raises(Trouble, match='The place "van-9" is not in the catalog'):
        reserving.stock_on(shop, TESTER, "van-9", DAY)


def test_a_van_in_words(shop: Shop, worn: Visit) -> None:
    number = element_of(issue(shop, worn))
    lines = reserving.stock_on(shop, TESTER, VAN, DAY)
    [line] = [each for each in lines if each.part == number]
    [said] = [each for each in build_at_place(lines) if each.part == number]
    assert line.set_aside == 1
    assert said.free == f"{line.counted - 1} free, 1 set aside"


def test_the_commands_reserve_list_and_let_go(shop_folder: Path) -> None:
    at = ("--shop", shop_folder)
    quoted = run("quote", VISIT_FILE, "--issue", "--reserve", *at, "--json")
    told = json.loads(quoted.stdout)
    number = told["set_aside"][0]["part"]
    assert told["set_aside"][0]["pieces"] == 1
    shown = json.loads(run("stock", "show", VAN, *at, "--json").stdout)
    [line] = [part for part in shown["parts"] if part["part"] == number]
    assert line["set_aside"] == 1
    assert line["free"] == line["counted"] - 1
    holder = shown["set_aside"][0]["number"]
    said = run("stock", "show", VAN, *at).stdout
    assert f"Quote {holder} holds 1 of {number} until " in said
    low = json.loads(run("stock", "low", *at, "--json").stdout)
    assert all(each["van"] == VAN and each["bring"] > 0 for each in low)
    assert run("stock", "release", holder, *at).stdout == (
        f"Quote {holder} let go {len(told['set_aside'])} pieces.\n"
    )
    assert json.loads(run("stock", "show", VAN, *at, "--json").stdout)["set_aside"] == []
    assert run("stock", "release", "2026-999999", *at).status == 2
    assert run("stock", "low", "--weeks", "0", *at).stderr == (
        "0 weeks are not from 1 to 104. Give others.\n"
    )


def test_the_commands_show_what_is_free_at_the_branch(
    shop_folder: Path, shop: Shop, worn: Visit
) -> None:
    number = drained(shop, worn)
    before = free_of(shop, number)[1]
    at = ("--shop", shop_folder)
    asked = ("--van", VAN, "--on", DAY.isoformat(), *at)

    def told() -> list[str]:
        """Return the lines on the part: of the heater's parts, and of a search by its number."""
        said = run("parts", "heater", worn.family, *asked).stdout
        said += run("parts", "find", number, *asked).stdout.split("If it was misread")[0]
        return [line for line in said.splitlines() if f"{number}  " in line]

    assert len(told()) >= 2
    assert all(f"{before} at the branch, none on the van" in line for line in told())
    quote = issue(shop, pinned(worn, number))
    assert all(f"{before - 1} at the branch, none on the van" in line for line in told())
    shown = json.loads(run("stock", "show", BRANCH, "--on", DAY.isoformat(), *at, "--json").stdout)
    [line] = [each for each in shown["parts"] if each["part"] == number]
    assert (line["free"], line["set_aside"], line["place"]) == (before - 1, 1, BRANCH)
    assert [(each["number"], each["part"]) for each in shown["set_aside"]] == [
        (quote.number, number)
    ]
    said = run("stock", "show", BRANCH, "--on", DAY.isoformat(), *at).stdout
    assert f"Quote {quote.number} holds 1 of {number} until " in said
    assert run("stock", "show", "branch-9", *at).stderr == (
        'The place "branch-9" is not in the catalog. Its vans and branches are van-1, van-2, '
        "branch-1.\n"
    )


ISSUE = """
import sys
from datetime import datetime
from pathlib import Path
from app import quoting, visiting
from app.wiring import demo_visit, open_shop
from app.people.guard import operator
shop = open_shop(Path(sys.argv[1]))
who = operator(sys.argv[2])
payload = demo_visit("worn_element")
payload["work"] = {**payload["work"], "part_number": sys.argv[4]}
visit = visiting.visit_from(payload, "worn_element")
priced = visiting.price_visit(shop, who, visit)
print("priced", flush=True)
sys.stdin.readline()
quote = quoting.issue_quote(shop, priced, who, datetime.fromisoformat(sys.argv[3]), reserve=True)
print(quote.number, flush=True)
shop.close()
"""


@pytest.mark.parametrize("on_the_van", [True, False])
def test_two_programs_that_both_saw_the_last_piece_share_it_once(
    shop_folder: Path, worn: Visit, *, on_the_van: bool
) -> None:
    shop = open_shop(shop_folder)
    number = element_of(issue(shop, worn))
    left = (1, stock(shop.catalog(), number, VAN).branch) if on_the_van else (0, 1)
    while free_of(shop, number) != left:
        issue(shop, pinned(worn, number))
    both = [
        subprocess.Popen(
            [sys.executable, "-c", ISSUE, str(shop_folder), name, AT.isoformat(), number],
            cwd=ROOT, text=True, stdin=subprocess.PIPE, stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
        )
        for name in ("One", "Two")
    ]  # fmt: skip
    for program in both:
        assert program.stdout is not None
        assert program.stdout.readline() == "priced\n"  # both have seen the piece free
    said = [program.communicate("go\n") for program in both]
    assert [program.returncode for program in both] == [0, 0], said
    got = [
        (each.place, each.pieces)
        for out, _ in said
        for each in shop.ledger.reservations.of(out.split()[-1])
        if each.part == number
    ]
    if on_the_van:
        assert sorted(got) == [(BRANCH, 1), (VAN, 1)]
    else:  # the one that came too late is told where all pieces lie that others hold
        assert sorted(got) == [(BRANCH, 1), (VAN, 0)]
        assert free_of(shop, number) == (0, 0)
    shop.close()
