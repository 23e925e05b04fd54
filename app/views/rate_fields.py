"""The questions of the rate sheet; shares are asked in percent."""

from __future__ import annotations

from typing import Final

from app.views.fields import Choice, Field

KINDS: Final = (
    Choice("part", "Parts"),
    Choice("labor", "Labor"),
    Choice("trip", "Trip"),
    Choice("permit", "Permits"),
    Choice("disposal", "Disposal"),
    Choice("material", "Material"),
    Choice("heater", "Heaters"),
)
OUTLOOKS: Final = (Choice("published", "Published table"), Choice("flat", "Flat"))
WAYS: Final = (Choice("bands", "Markup by cost"), Choice("margin", "Target margin"))

SHOP: Final = (
    Field("shop.name", "Shop", "text", required=True),
    Field("shop.address", "Address", "text"),
    Field("shop.phone", "Phone", "text"),
    Field("shop.license", "License", "text"),
)
LABOR: Final = (
    Field("labor.regular_per_h", "Regular hours", unit="$/h", required=True),
    Field("labor.after_hours_per_h", "After hours", unit="$/h", required=True),
    Field("labor.minimum_h", "Least time billed", unit="h"),
    Field("labor.access_factor.tight", "Tight access", unit="×", required=True),  # noqa: RUF001
    Field("labor.access_factor.very_tight", "Very tight access", unit="×", required=True),  # noqa: RUF001
    Field("labor.cost_per_h", "An hour costs you", unit="$/h", required=True),
    Field("labor.after_hours_cost_per_h", "After hours it costs you", unit="$/h"),
)
TRIP: Final = (
    Field("trip.amount", "Trip and diagnosis", unit="$", required=True),
    Field("trip.cost", "It costs you", unit="$"),
    Field("trip.credited_when_work_goes_ahead", "Credited when work goes ahead", "tick"),
)
OTHER: Final = (
    Field("other.heater_markup", "Heaters, markup", unit="%"),
    Field("other.material_markup", "Material, markup", unit="%"),
    Field("other.permit_markup", "Permits, markup", unit="%"),
    Field("other.disposal_markup", "Disposal, markup", unit="%"),
    Field("other.sundries_price", "Sundries of every job", unit="$"),
    Field("other.sundries_cost", "They cost you", unit="$"),
)
DISCOUNTS: Final = (
    Field("discounts.plan_member", "Plan members get off", unit="%"),
    Field("discounts.technician_limit", "A technician may take off", unit="%"),
    Field("discounts.kinds", "On", "many", choices=KINDS),
    Field("quote.margin_floor", "No job under a margin of", unit="%"),
    Field("quote.target_margin", "Aim at a margin of", unit="%"),
)
TAX: Final = (
    Field("tax.rate", "Sales tax", unit="%"),
    Field("tax.taxable", "On", "many", choices=KINDS),
)
QUOTE: Final = (
    Field("quote.valid_days", "Prices hold", "whole", "days"),
    Field("quote.round_total_to", "Round the total to", unit="$"),
    Field("quote.lump_sum", "One price, no lines", "tick"),
    Field("quote.terms", "Terms", "long_text"),
    Field("quote.terms_es", "Terms in Spanish, if you have them", "long_text"),
    Field(
        "quote.words_es",
        "Words of your own catalog in Spanish",
        "long_text",
        hint="a line each, English = Spanish; heater check says which are missing",
    ),
)
FINANCING: Final = (
    Field(
        "quote.financing.per_month_of_1000",
        "A month, for each $1,000",
        unit="$",
        hint="the figure of your own plan; nothing is worked out from it",
    ),
    Field("quote.financing.months", "Payments", "whole", "months"),
    Field("quote.financing.least_price", "Offered from a price of", unit="$"),
)
ENERGY: Final = (
    Field("fuel_prices.natural_gas_per_therm", "Natural gas", unit="$/therm", required=True),
    Field("fuel_prices.propane_per_gal", "Propane", unit="$/gal", required=True),
    Field("fuel_prices.electricity_per_kwh", "Electricity", unit="$/kWh", required=True),
)
ECONOMICS: Final = (
    Field("economics.real_discount_rate", "Discount rate, above inflation", unit="%"),
    Field("economics.price_outlook", "Fuel prices to come", "choice", choices=OUTLOOKS),
    Field("economics.fuel_escalation", "Fuel, flat, a year", unit="%"),
    Field("economics.install_price_escalation", "New heaters, a year", unit="%"),
    Field("economics.urgency_premium", "An unplanned heater is dearer by", unit="%"),
    Field("economics.failure_damage", "Damage of an unplanned failure", unit="$"),
    Field("economics.aging", "Energy use grows, a year", unit="%"),
    Field("economics.indifference_band", "No difference up to", unit="$"),
)
SECTIONS: Final = (
    ("labor", "Labor", LABOR),
    ("trip", "Trip", TRIP),
    ("other", "Heaters, material, sundries", OTHER),
    ("discounts", "Discounts, floor and target", DISCOUNTS),
    ("tax", "Tax", TAX),
    ("quote", "The quote", QUOTE),
    ("financing", "Payment plan", FINANCING),
    ("energy", "Energy prices here", ENERGY),
    ("economics", "How the paths are compared", ECONOMICS),
    ("shop", "The shop", SHOP),
)
