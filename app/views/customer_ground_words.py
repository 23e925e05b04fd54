"""The words that open a number of a customer's quote: what it is made of, and how it came about."""

from __future__ import annotations

from typing import Final

from app.language.marking import mark

TITLE: Final = mark("Where these numbers come from")
ABOUT: Final = mark("{path}, {what}")

# What a cost over the years is made of.
RUNNING: Final = mark("Energy, upkeep and later repairs")
BOUGHT_LATER: Final = mark("New heaters later, and harm when one fails")
VALUE_AT_END: Final = mark("Value left at the end")

# How a number came about, in plain words.
PRICE: Final = mark("These lines, at the shop's own rates. Tax is in it.")
ONE_PRICE: Final = mark("One price for parts, labor and tax. The shop does not list the lines.")
PAID_BY_OTHERS: Final = mark(
    "Offers by others for this heater that hold on the day of the visit. The quote names who pays."
)
YOU_PAY: Final = mark("The price today, less what others pay.")
OVER_STUDY: Final = mark(
    "The sum of these over {years}. A cost in a later year counts less, by {rate} a year. How long "
    "a heater lasts is an average for its kind and age."
)
PER_MONTH: Final = mark("The cost in all, spread into equal months over {years} at {rate} a year.")
LIFE_LEFT: Final = mark(
    "From how many heaters of this kind still run at each age. Only those count that got as old "
    "as yours. The shop's table of lives is assumed to hold for yours."
)
ENERGY_NOW: Final = mark(
    "The heat in your hot water, by the energy rating of your heater, times the price of {fuel}."
)
ENERGY_NEW: Final = mark(
    "The same hot water, by the rating of the new heater, times the price of its energy. That is "
    "held against what yours uses."
)
VALUE_LEFT: Final = mark(
    "The price of such a heater then, times the share of its life that is left. It is put into "
    "today's money at {rate} a year."
)
PLANNED: Final = mark(
    "We tried each year for a new heater on plan and took the year that costs least in all."
)
OFFERED: Final = mark("As it stands in the shop's catalog. Ask who pays it whether it still holds.")
WAIT: Final = mark("As the supplier last told the shop.")
CHANCE: Final = mark(
    "We drew {draws} futures by chance: how long heaters last, energy prices, hot water, later "
    "repairs and later prices. Then we counted. How far each may stray is judgment. Other draws "
    "would move the count by about {error} of 100."
)
DIFFERENCE: Final = mark("The one cost in all, less the other.")
SAME_COST: Final = mark(
    "Where both costs in all would be the same. Only this one number is changed to find it."
)
RULE: Final = mark(
    "A rule of the trade that looks at price or age alone. It has no source and does not decide."
)
AS_READ: Final = mark("As read at your heater, or as its maker and the shop's catalog say.")
