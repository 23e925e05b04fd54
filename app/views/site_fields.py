"""The questions about the site, the household and the customer."""

from __future__ import annotations

from typing import Final

from app.views.fields import Choice, Field

LOCATIONS: Final = (
    Choice("basement", "Basement"),
    Choice("garage", "Garage"),
    Choice("utility_room", "Utility room"),
    Choice("closet", "Closet"),
    Choice("attic", "Attic"),
    Choice("crawl_space", "Crawl space"),
)
ACCESSES: Final = (
    Choice("open", "Easy"),
    Choice("tight", "Tight"),
    Choice("very_tight", "Very tight"),
)

SITE: Final = (
    Field("site.location", "Place", "long_choice", choices=LOCATIONS, assumed="basement"),
    Field("site.access", "Reach", "choice", choices=ACCESSES, assumed="easy"),
    Field("site.closed_water_system", "Closed water system", "yes_no"),
    Field("site.expansion_tank", "Expansion tank", "yes_no"),
    Field("site.circuit_240v", "240 V circuit", "yes_no"),
    Field("site.condensate_drain", "Drain for condensate", "yes_no"),
    Field("site.gas_line_btu_per_h", "Gas line carries", unit="Btu/h"),
    Field("site.room_volume_ft3", "Room", unit="ft³"),
    Field("site.seismic_zone", "Earthquake zone", "yes_no", assumed="no"),
    Field("site.drain_pan_needed", "Drain pan needed", "yes_no", assumed="no"),
)
HOUSEHOLD: Final = (
    Field("household.people", "People in the home", "whole", assumed="a typical home"),
    Field("household.bedrooms", "Bedrooms", "whole"),
    Field("household.years_in_house", "Years they stay", "whole", "yr", assumed="a heater's life"),
    Field("work.years", "Years compared", "whole", "yr"),
    Field("household.setpoint_f", "Set point", unit="°F", assumed="125 °F"),
    Field("household.gallons_per_day", "Hot water a day", unit="gal"),
    Field("household.inlet_f", "Cold water", unit="°F", assumed="from the climate"),
    Field(
        "household.natural_gas_per_therm", "Natural gas", unit="$/therm", assumed="shop's figure"
    ),
    Field("household.propane_per_gal", "Propane", unit="$/gal", assumed="shop's figure"),
    Field("household.electricity_per_kwh", "Electricity", unit="$/kWh", assumed="shop's figure"),
)
CUSTOMER: Final = (
    Field("visit.customer_name", "Customer", "text"),
    Field("visit.customer_address", "Address", "text"),
    Field("visit.technician", "Technician", "text"),
    Field("visit.van", "Van", "text"),
    Field("work.after_hours", "After hours", "tick"),
    Field("work.plan_member", "Plan member", "tick"),
    Field("work.discount", "Discount", unit="%"),
    Field("visit.note", "Note", "long_text"),
)
