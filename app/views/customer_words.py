"""The words that a customer reads, in one place, in plain US English.

Sentences carry their numbers in braces, already written by `app.formatting`. No word
here urges a choice.
"""

from __future__ import annotations

from typing import Final

from estimator.heater import Fuel, Location
from estimator.verdict import VerdictKind

LABELS: Final[dict[str, str]] = {
    "quote": "Quote",
    "draft": "Draft quote",
    "revision": "revision",
    "issued": "Issued",
    "valid_until": "Prices hold until",
    "page": "Page",
    "of": "of",
    "for": "For",
    "visit": "Visit",
    "technician": "Technician",
    "heater": "Your heater",
    "wrong": "What is wrong",
    "do_first": "Do this first",
    "verdict": "How the two compare",
    "reasons": "Why",
    "turns": "What would change this",
    "side_by_side": "Side by side",
    "repair": "Repair",
    "replace": "Replace",
    "price_today": "Price today, tax in",
    "incentives": "Paid by others",
    "your_price": "You pay",
    "per_month": "Per month",
    "buys": "What you get",
    "to_know": "What to know",
    "checks": "Still to be checked",
    "heater_new": "Heater",
    "not_open": "Not open today",
    "no_price": "no price today",
    "heaters": "New heaters we looked at",
    "others": "Other new heaters we looked at",
    "chart": "Expected cost, year by year",
    "prices": "What is in each price",
    "item": "Item",
    "quantity": "Qty",
    "unit_price": "Each",
    "amount": "Amount",
    "subtotal": "Subtotal",
    "discount": "Discount",
    "tax": "Sales tax",
    "rounding": "Rounding",
    "total": "Total",
    "rests_on": "What these numbers rest on",
    "assumed": "assumed",
    "unknown": "What we do not know",
    "rules": "Rules of thumb you may hear",
    "cautions": "For your safety",
    "notes": "Please note",
    "terms": "Terms",
    "sign": "Your choice",
    "agree": "I have read this quote and choose:",
    "name": "Name",
    "signature": "Signature",
    "date": "Date",
    "invented": "Invented demo shop. Names, parts and prices are made up; this is no offer.",
    "not_issued": "Draft: not issued yet, so prices may still change.",
}

FUELS: Final[dict[Fuel, str]] = {
    Fuel.NATURAL_GAS: "natural gas",
    Fuel.PROPANE: "propane",
    Fuel.ELECTRICITY: "electricity",
}

PLACES: Final[dict[Location, str]] = {
    Location.GARAGE: "in the garage",
    Location.BASEMENT: "in the basement",
    Location.UTILITY_ROOM: "in the utility room",
    Location.CLOSET: "in a closet",
    Location.ATTIC: "in the attic",
    Location.CRAWL_SPACE: "in the crawl space",
}

RULE_SAYS: Final[dict[VerdictKind, str]] = {
    VerdictKind.REPAIR: "repair",
    VerdictKind.REPLACE: "replace",
    VerdictKind.EITHER: "either one",
    VerdictKind.CLOSED: "neither",
}

RULE: Final = "“{name}” says {says}. {why}"

# Headlines, by how the two paths stand.
REPAIR_COSTS_LESS: Final = "Repairing is likely to cost you less"
REPLACE_COSTS_LESS: Final = "Replacing is likely to cost you less"
EITHER_IS_SOUND: Final = "The two come to about the same; either is a sound choice"
ONLY_REPAIR: Final = "Only the repair is open today"
ONLY_REPLACE: Final = "Only a new heater is open today"
NEITHER: Final = "Neither path is open today"

COMPARED: Final = (
    "Over {years}, we expect repairing now to come to about {repair} in all, and replacing now "
    "to about {replace}. These are averages; your own cost may be more or less."
)
PER_MONTH: Final = "Per month over {years}"
OVER_STUDY: Final = "In all over {years}"
MONTHLY_MEANS: Final = (
    "“Per month” spreads everything over {years}: the price today, energy, upkeep, later "
    "repairs, and a new heater when one fails. Value left in the heater at the end is taken off."
)

# What each path buys.
LIFE_LEFT: Final = "Heaters like yours, at this age, run {years} more on average."
LIFE_LEFT_SHORT: Final = "Heaters like yours, at this age, run less than a year more on average."
ENERGY_NOW: Final = "It uses about {energy} of energy a year."
ENERGY_NEW: Final = "It uses about {energy} of energy a year ({amount})."
ENERGY_LESS: Final = "It uses about {energy} of energy a year ({amount}), {less} less than now."
ENERGY_MORE: Final = "It uses about {energy} of energy a year ({amount}), {more} more than now."
PLAN: Final = (
    "With a new heater on plan after about {years}, it would come to {saves} less than "
    "waiting for a failure."
)
PART_ON_VAN: Final = "The part is on the van."
PART_AT_BRANCH: Final = "The part is at the branch, not on the van."
PART_TO_ORDER: Final = "The part must be ordered: about {days} days."
PART_CHECK: Final = "The new part must still be held against the old one."
PART_UNKNOWN: Final = "Nobody here has the part; ask when it can come."
VALUE_LEFT: Final = "After {years} it still has about {value} of value, which is counted."
MEND_FIRST: Final = "Before a new heater may be lit: {what}"
NO_REPAIR: Final = "This cannot be repaired"
A_NEW_HEATER: Final = "A new heater"
NO_REPLACEMENT: Final = "No new heater that we looked at can go in today."
NONE_OFFERED: Final = "We did not look at a new heater."

# What the numbers rest on.
MADE: Final = "made {month}, {age} old"
RATING_ASSUMED: Final = "lowest rating allowed when it was made"
RATING_LABEL: Final = "from the label"
DRAW_GIVEN: Final = "as you told us"
DRAW_PEOPLE: Final = "from {count} people in the home"
DRAW_PERSON: Final = "from 1 person in the home"
DRAW_BEDROOMS: Final = "from {count} bedrooms"
DRAW_ASSUMED: Final = "a typical home"
PRICE_GIVEN: Final = "as you told us"
PRICE_ASSUMED: Final = "our figure for this area"
YEARS_LEFT: Final = "as long as this heater can be expected to last"
YEARS_GIVEN: Final = "as long as you plan to stay"
YEARS_CHOSEN: Final = "as chosen for this quote"
YEARS_ASSUMED: Final = "about the life of a new heater"
DISCOUNT_MEANS: Final = "money spent later counts for less, by this much a year"
INLET_MEANS: Final = "water coming in; the heater warms it to {setpoint}"

# What we do not know.
OWN_LIFE: Final = "How long your own heater will last. We can only use an average."
LATER_PRICES: Final = "What energy and new heaters will cost in later years."
UNKNOWN_RATING: Final = (
    "The real energy rating of your heater: no label could be read, so we used the lowest "
    "rating allowed when it was made."
)
UNKNOWN_RECOVERY: Final = (
    "How much of the burner's heat gets into the water. It is not on the label; we used {share}."
)
UNKNOWN_DRAW: Final = "How much hot water you use. We used {gallons} gallons a day."
UNKNOWN_INLET: Final = "How cold the water is that comes in. We used {inlet}."
UNKNOWN_PRICE: Final = "What you pay for {fuel}. We used {price}."
UNKNOWN_STAY: Final = "How long you will stay in this home. We used {years}."
READINGS_OPEN: Final = "The readings fit what we found, but they do not prove it yet."
READINGS_AGAINST: Final = "Some readings speak against what we found: {what}."

# The chart.
CHART_TITLE: Final = "Expected total cost by the end of each year, in today's dollars"
CROSS_ONCE: Final = (
    "The lines cross in year {year}. Up to then {first} has cost less; after that, {second}."
)
CROSS_OFTEN: Final = "The lines cross more than once: in years {years}."
NO_CROSS: Final = "The lines do not cross within {years}: {first} has cost less all along."
YEARS_AXIS: Final = "Years from now"
SAME_LINES: Final = "The two lines run together."
ONE_LINE: Final = "Only one path is open, so there is one line."
RESIDUAL_NOTE: Final = "The lines leave out the value left in the heater at the end."
REPAIRING: Final = "repairing"
REPLACING: Final = "replacing"
REPAIR_NOW: Final = "Repair now"
REPLACE_NOW: Final = "Replace now"

# Choices at the end; none is chosen beforehand.
CHOOSE_REPAIR: Final = "Repair: {what}, {price}"
CHOOSE_REPLACE: Final = "Replace: {what}, {price}"
CHOOSE_NEITHER: Final = "Neither for now"
LUMP: Final = "{what}: parts, labor and tax in"
VALID_UNTIL: Final = "These prices hold until {day}."
VALID_DAYS: Final = "Once issued, these prices hold for {days} days."
