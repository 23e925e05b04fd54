"""The words that a customer reads, in one place, in plain US English.

Sentences carry their numbers in braces, already written by `app.formatting`. No word
here urges a choice. Every text is marked for translation; `app.language` says it.
"""

from __future__ import annotations

from typing import Final

from app.language.marking import mark
from estimator.heater import Fuel, Location
from estimator.verdict import VerdictKind

LABELS: Final[dict[str, str]] = {
    "quote": mark("Quote"),
    "draft": mark("Draft quote"),
    "revision": mark("revision"),
    "issued": mark("Issued"),
    "valid_until": mark("Prices hold until"),
    "page": mark("Page"),
    "of": mark("of"),
    "for": mark("For"),
    "visit": mark("Visit"),
    "technician": mark("Technician"),
    "heater": mark("Your heater"),
    "wrong": mark("What is wrong"),
    "do_first": mark("Do this first"),
    "verdict": mark("How the two compare"),
    "reasons": mark("Why"),
    "turns": mark("What would change this"),
    "side_by_side": mark("Side by side"),
    "repair": mark("Repair"),
    "replace": mark("Replace"),
    "price_today": mark("Price today, tax in"),
    "incentives": mark("Paid by others"),
    "your_price": mark("You pay"),
    "per_month": mark("Per month"),
    "buys": mark("What you get"),
    "to_know": mark("What to know"),
    "checks": mark("Still to be checked"),
    "heater_new": mark("Heater"),
    "not_open": mark("Not open today"),
    "heaters": mark("New heaters we looked at"),
    "others": mark("Other new heaters we looked at"),
    "chart": mark("Expected cost, year by year"),
    "prices": mark("What is in each price"),
    "item": mark("Item"),
    "quantity": mark("Qty"),
    "unit_price": mark("Each"),
    "amount": mark("Amount"),
    "subtotal": mark("Subtotal"),
    "discount": mark("Discount"),
    "tax": mark("Sales tax"),
    "rounding": mark("Rounding"),
    "total": mark("Total"),
    "rests_on": mark("What these numbers rest on"),
    "assumed": mark("assumed"),
    "unknown": mark("What we do not know"),
    "rules": mark("Rules of thumb you may hear"),
    "cautions": mark("For your safety"),
    "notes": mark("Please note"),
    "terms": mark("Terms"),
    "sign": mark("Your choice"),
    "agree": mark("I have read this quote and choose:"),
    "name": mark("Name"),
    "signature": mark("Signature"),
    "date": mark("Date"),
    "invented": mark("Invented demo shop. Names, parts and prices are made up; this is no offer."),
    "accepted_at": mark("Signed by typing the name"),
    "record": mark("Check mark of this text"),
    "open_link": mark("Open it on your phone"),
    "not_issued": mark("Draft: not issued yet, so prices may still change."),
    "other_choice": mark("Another new heater: mark it in the list of new heaters"),
}

IN_ENGLISH_ONLY: Final = mark("in English only")

# Where a quote stands, by the state that the ledger tells.
STATES: Final[dict[str, str]] = {
    "draft": mark("Draft quote"),
    "issued": mark("Waiting for your answer"),
    "accepted": mark("Accepted"),
    "declined": mark("Declined"),
    "lapsed": mark("Lapsed"),
    "superseded": mark("No longer holds"),
}
WHAT_WAS_AGREED: Final = mark("What was agreed")
WHAT_WAS_DECLINED: Final = mark("This quote was declined")

FUELS: Final[dict[Fuel, str]] = {
    Fuel.NATURAL_GAS: mark("natural gas"),
    Fuel.PROPANE: mark("propane"),
    Fuel.ELECTRICITY: mark("electricity"),
}

PLACES: Final[dict[Location, str]] = {
    Location.GARAGE: mark("in the garage"),
    Location.BASEMENT: mark("in the basement"),
    Location.UTILITY_ROOM: mark("in the utility room"),
    Location.CLOSET: mark("in a closet"),
    Location.ATTIC: mark("in the attic"),
    Location.CRAWL_SPACE: mark("in the crawl space"),
}

RULE_SAYS: Final[dict[VerdictKind, str]] = {
    VerdictKind.REPAIR: mark("repair"),
    VerdictKind.REPLACE: mark("replace"),
    VerdictKind.EITHER: mark("either one"),
    VerdictKind.CLOSED: mark("neither"),
}

RULE: Final = mark("“{name}” says {says}. {why}")

# Headlines, by how the two paths stand.
REPAIR_COSTS_LESS: Final = mark("Repairing is likely to cost you less")
REPLACE_COSTS_LESS: Final = mark("Replacing is likely to cost you less")
EITHER_IS_SOUND: Final = mark("The two come to about the same; either is a sound choice")
ONLY_REPAIR: Final = mark("Only the repair is open today")
ONLY_REPLACE: Final = mark("Only a new heater is open today")
NEITHER: Final = mark("Neither path is open today")

COMPARED: Final = mark(
    "Over {years}, we expect repairing now to come to about {repair} in all, and replacing now "
    "to about {replace}. These are averages; your own cost may be more or less."
)
PER_MONTH: Final = mark("Per month over {years}")
OVER_STUDY: Final = mark("In all over {years}")
MONTHLY_MEANS: Final = mark(
    "“Per month” spreads everything over {years}: the price today, energy, upkeep, later "
    "repairs, and a new heater when one fails. Value left in the heater at the end is taken off."
)

# What each path buys.
LIFE_LEFT: Final = mark("Heaters like yours, at this age, run about {years} more on average.")
LIFE_LEFT_SHORT: Final = mark(
    "Heaters like yours, at this age, run less than a year more on average."
)
ENERGY_NOW: Final = mark("It uses about {energy} of energy a year.")
ENERGY_NEW: Final = mark("It uses about {energy} of energy a year ({amount}).")
ENERGY_LESS: Final = mark(
    "It uses about {energy} of energy a year ({amount}), {less} less than now."
)
ENERGY_MORE: Final = mark(
    "It uses about {energy} of energy a year ({amount}), {more} more than now."
)
PLAN: Final = mark(
    "With a new heater on plan after about {years}, it would come to {saves} less than "
    "waiting for a failure."
)
PART_ON_VAN: Final = mark("The part is on the van.")
PART_AT_BRANCH: Final = mark("The part is at the branch, not on the van.")
PART_TO_ORDER: Final = mark("The part must be ordered: about {days} days.")
PART_CHECK: Final = mark("The new part must still be held against the old one.")
PART_UNKNOWN: Final = mark("Nobody here has the part; ask when it can come.")
VALUE_LEFT: Final = mark("After {years} it still has about {value} of value, which is counted.")
OFFER_UNTIL: Final = mark("{name}, until {day}")
MEND_FIRST: Final = mark("Before a new heater may be lit: {what}")
NO_REPAIR: Final = mark("This cannot be repaired")
A_NEW_HEATER: Final = mark("A new heater")
NO_REPLACEMENT: Final = mark("No new heater that we looked at can go in today.")
NONE_OFFERED: Final = mark("We did not look at a new heater.")

# What the numbers rest on.
HEATER: Final = mark("{volume} {fuel} tank, made {month}, {age} old, {place}")
TANK_SIZE: Final = mark("{gallons} gallon")
AGE: Final = mark("Age")
MADE: Final = mark("made {month}")
RATING: Final = mark("Energy rating ({metric})")
HOT_WATER: Final = mark("Hot water")
A_DAY: Final = mark("{volume} a day")
COLD_WATER: Final = mark("Cold water")
PRICE_OF: Final = mark("Price of {fuel}")
YEARS_LOOKED_AT: Final = mark("Years looked at")
DISCOUNT_RATE: Final = mark("Discount rate")
RATING_ASSUMED: Final = mark("lowest allowed when made")
RATING_LABEL: Final = mark("from the label")
DRAW_GIVEN: Final = mark("as you told us")
DRAW_PEOPLE: Final = mark("from {count} people in the home")
DRAW_PERSON: Final = mark("from 1 person in the home")
DRAW_BEDROOMS: Final = mark("from {count} bedrooms")
DRAW_ASSUMED: Final = mark("a typical home")
PRICE_GIVEN: Final = mark("as you told us")
PRICE_ASSUMED: Final = mark("usual here")
YEARS_LEFT: Final = mark("as long as this heater can be expected to last")
YEARS_GIVEN: Final = mark("as long as you plan to stay")
YEARS_CHOSEN: Final = mark("as chosen for this quote")
YEARS_ASSUMED: Final = mark("life of a new heater")
DISCOUNT_MEANS: Final = mark("a year, off money spent later")
INLET_MEANS: Final = mark("comes in; warmed to {setpoint}")

# What we do not know.
OWN_LIFE: Final = mark("How long your own heater will last. We can only use an average.")
LATER_PRICES: Final = mark("What energy and new heaters will cost in later years.")
UNKNOWN_RATING: Final = mark(
    "The real energy rating of your heater: it has no label that can be read, so we used the "
    "lowest allowed when it was made."
)
UNKNOWN_RECOVERY: Final = mark(
    "How much of the burner's heat gets into the water. It is not on the label; we used {share}."
)
UNKNOWN_HERE: Final = mark("We also do not know {what}. We used the numbers marked “assumed”.")
USE_OF_HOT_WATER: Final = mark("how much hot water you use")
HOW_COLD: Final = mark("how cold the water comes in")
ENERGY_BILL: Final = mark("what you pay for energy")
STAY: Final = mark("how long you will stay")
READINGS_OPEN: Final = mark("The readings fit what we found, but they do not prove it yet.")
READINGS_AGAINST: Final = mark("Some readings speak against what we found: {what}.")

# The chart.
CHART_TITLE: Final = mark("Expected total cost by the end of each year, in today's dollars")
CROSS_ONCE: Final = mark(
    "The lines cross in year {year}. Up to then {first} has cost less; after that, {second}."
)
CROSS_OFTEN: Final = mark("The lines cross more than once: in years {years}.")
NO_CROSS: Final = mark("The lines do not cross within {years}: {first} has cost less all along.")
YEARS_AXIS: Final = mark("Years from now")
SAME_LINES: Final = mark("The two lines run together.")
ONE_LINE: Final = mark("Only one path is open, so there is one line.")
RESIDUAL_NOTE: Final = mark("The lines leave out the value left in the heater at the end.")
BAND_NOTE: Final = mark("In 8 of 10 likely futures, the cost stays inside the shaded band.")
REPAIRING: Final = mark("repairing")
REPLACING: Final = mark("replacing")
REPAIR_NOW: Final = mark("Repair now")
REPLACE_NOW: Final = mark("Replace now")

# Choices at the end; none is chosen beforehand.
CHOOSE_NEITHER: Final = mark("Neither for now")
CHOOSE: Final = mark("{label}: {what}, {price}")
LUMP: Final = mark("{what}: parts, labor and tax in")
VALID_UNTIL: Final = mark("These prices hold until {day}.")
VALID_DAYS: Final = mark("Once issued, these prices hold for {days} days.")
LAPSED: Final = mark("These prices held until {day} and no longer do. Ask us for a new quote.")
SUPERSEDED: Final = mark(
    "Revision {last} has taken the place of revision {revision}. This one can still be read but "
    "not accepted. Open revision {last} to answer."
)

# What is agreed to, word for word.
AGREE_HEAD: Final = mark("Quote {number}, revision {revision}, of {shop}, issued {day}.")
AGREE_CHOICE: Final = mark("I have read this quote and choose: {choice}.")
AGREE_WORK: Final = mark("I order this work at this price.")
AGREE_NO_WORK: Final = mark("I do not order any work now.")
AGREE_SAFETY: Final = mark("I have read what the quote says about my safety.")
AGREE_TERMS: Final = mark("Terms: {terms}")
