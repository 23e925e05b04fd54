"""Names and sentences of the parts catalog.

Each is a template as `app.language.templates` reads it: the words exactly as they are said,
what differs in a slot. A full stop at the end makes no difference.
"""

from __future__ import annotations

from typing import Final

from app.language.marking import mark

NAMES: Final = (
    mark("Restore the gas supply"),
    mark("Reseat the sensing element"),
    mark("Mend the cause and reset the limit"),
    mark("Mend the cause and replace the limit"),
    mark("Mend the cause and replace the thermal fuse"),
    mark("Drain, replace the gas control, refill"),
    mark("Find the vapor and replace the sensor"),
    mark("Light, test joints for leaks, check the flame"),
    mark("Install a gas tank heater"),
    mark("Install a power-vented gas tank heater"),
    mark("Install an instantaneous gas heater"),
    mark("Install a heat-pump water heater"),
    mark("Install an electric tank heater"),
    mark("Permit"),
    mark("Haul away the old heater"),
    mark("Thermal expansion tank"),
    mark("Drain pan and line"),
    mark("Sediment trap"),
    mark("Vent connector and fittings"),
    mark("New vent through the wall or roof"),
    mark("Close the old vent"),
    mark("Seismic straps"),
    mark("Larger gas line"),
    mark("Condensate pump and neutralizer"),
    mark("240 V circuit by an electrician"),
    mark("Cap the gas line and test"),
    mark("the work needs a permit"),
    mark("the old heater is taken away"),
    mark("the water system is closed and has no expansion tank"),
    mark("a leak here would do damage"),
    mark("the gas line to a new heater gets a sediment trap"),
    mark("the old vent connector is renewed"),
    mark("the new heater is vented another way"),
    mark("the old vent is no longer used"),
    mark("heaters here are strapped against earthquakes"),
    mark("the gas line is too small for its input"),
    mark("there is no drain for condensate here"),
    mark("there is no 240 V circuit here"),
    mark("the gas line is no longer used"),
    mark("every gas joint touched is tested for leaks with a solution, never with a flame"),
    mark("the pipe joint at the control is made new"),
    mark("the sealed chamber is opened, and its door seal is used once"),
    mark("the element is held in the flame by the right clip"),
    mark("it lets {number:kept} serve where the heater has another connection"),
)

HEATERS: Final = (
    mark("{volume:gal} gas tank"),
    mark("{volume:gal} propane tank"),
    mark("{volume:gal} gas tank with flue damper"),
    mark("{volume:gal} propane tank with flue damper"),
    mark("{volume:gal} condensing gas tank"),
    mark("{volume:gal} condensing propane tank"),
    mark("{volume:gal} electric tank"),
    mark("{volume:gal} heat-pump water heater"),
    mark("Instantaneous gas heater"),
    mark("Instantaneous propane heater"),
    mark("Condensing instantaneous gas heater"),
    mark("Condensing instantaneous propane heater"),
    mark("natural gas"),
    mark("propane"),
    mark("natural draft"),
    mark("power vent"),
    mark("direct vent"),
)

PARTS: Final = (
    mark("Sensing element"),
    mark("Pilot assembly"),
    mark("Igniter"),
    mark("Limit"),
    mark("Gas control"),
    mark("Pilot tube"),
    mark("Pilot orifice"),
    mark("Burner orifice"),
    mark("Burner door kit"),
    mark("Vapor sensor"),
    mark("Flame rod"),
    mark("Gasket for a {width:inches} burner door"),
    mark("Leak solution"),
    mark("Thread sealant"),
    mark("Clip for a sensing element"),
    mark("Air screen"),
    mark("Brush"),
    mark("Adapter"),
    mark("Universal {what:phrase}"),
)

SENTENCES: Final = (
    mark("There is no 240 V circuit here, and this heater needs one."),
    mark("There is no drain for condensate here, and this heater needs one."),
    mark("The gas line carries {carries:btu_per_h}, this heater needs {needs:btu_per_h}."),
    mark("The room has {has:ft3}, this heater needs at least {needs:ft3} of air around it."),
    mark("Look whether there is a 240 V circuit here; this heater needs one."),
    mark("Look whether there is a drain for condensate; this heater needs one."),
    mark("Measure the room: this heater needs at least {needs:ft3}."),
    mark("Look {what:phrase}: {item:name} may have to be added to the price."),
    mark(
        "Look whether the gas line carries {needs:btu_per_h}; the old heater has {has:btu_per_h}."
    ),
    mark("whether the water system is closed and has an expansion tank"),
    mark("whether the gas line carries its input"),
    mark("whether there is a drain for condensate"),
    mark("whether there is a 240 V circuit"),
    mark(
        "Its first-hour rating is {new:gal}, that of the old heater {old:gal}: ask "
        "whether hot water ran short."
    ),
    mark(
        "If all {people:number} people shower within the hour they draw about "
        "{drawn:gal}, its first-hour rating is {rating:gal}."
    ),
    mark("It holds {new:gal}, the old heater {old:gal}."),
    mark("The job needs a {name:phrase} ({because:phrase}); the catalog has none {whose:phrase}."),
    mark("gasket"),
    mark("adapter"),
    mark("clip"),
    mark("leak solution"),
    mark("thread sealant"),
    mark("air screen"),
    mark("brush"),
    mark("for this heater"),
    mark("that can be bought today"),
    mark("This heater proves its flame by a rod: it has no thermocouple or thermopile."),
    mark("This heater has a standing pilot: it has no flame rod."),
    mark("This heater is lit by a hot surface: it has no pilot."),
    mark("A heater with an open chamber has no vapor sensor."),
    mark(
        "The maker's list of heater family {family:kept} names no {name:phrase}: give "
        "the number on the old part, or its measures."
    ),
    mark(
        "Nothing is known of the {name:phrase} that is needed: give the heater family, "
        "the number on the old part, or its measures"
    ),
    mark("By its plate the heater may be of {families:kept}"),
    mark(
        "The {name:phrase} that the maker lists ({numbers:kept}) is no longer sold, "
        "nothing replaces it, and no other part fits."
    ),
    mark(
        "Only a {name:phrase} that the maker lists may go in, and none is listed for "
        "this sealed chamber."
    ),
    mark(
        "Only a {name:phrase} that the maker lists may go in, and none is listed for this heater."
    ),
    mark(
        "Only a {name:phrase} that the maker lists may go in: give the heater family, or the "
        "number on the old part."
    ),
    mark("No {name:phrase} in the catalog fits; see the near misses for what differs."),
    mark(
        "The sensing element of this heater comes only inside pilot assembly "
        "{number:kept}: choose to replace the pilot assembly."
    ),
    mark("Nothing in the catalog fits this heater"),
    mark("sensing element"),
    mark("pilot assembly"),
    mark("igniter"),
    mark("limit or fuse"),
    mark("gas control"),
    mark("pilot tube"),
    mark("orifice"),
    mark("burner door kit"),
    mark("vapor sensor"),
    mark("flame rod"),
)

DEMO_INCENTIVES: Final = (mark("Utility rebate"),)

DEMO_TERMS: Final = (
    mark(
        "Payment on completion. Prices hold for the days stated. Work is done under "
        "local code by licensed people."
    ),
)

CATALOG_SENTENCES: Final = (
    *NAMES,
    *HEATERS,
    *PARTS,
    *SENTENCES,
    *DEMO_INCENTIVES,
    *DEMO_TERMS,
)
