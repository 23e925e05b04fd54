"""Sentences that the estimator says: stops, verdict, safety, energy, prices.

Each is a template as `app.language.templates` reads it: the words exactly as they are said,
what differs in a slot. A full stop at the end makes no difference.
"""

from __future__ import annotations

from typing import Final

from app.language.marking import mark

STOPS: Final = (
    mark("There is a smell of gas"),
    mark(
        "Leave the house now, touch no switch and no phone inside, and call the gas "
        "supplier from outside. Nobody goes back in until the supplier says so."
    ),
    mark("The gas control has been under water and may fail without warning"),
    mark(
        "Turn the gas off. The control is replaced, never dried out, and a qualified "
        "person checks the rest of the heater before it is lit; most often the whole "
        "heater goes."
    ),
    mark("The tank itself leaks and cannot be mended"),
    mark("Turn off the gas and the cold water, and replace the heater."),
    mark("Flue gas spills into the room, or carbon monoxide was measured"),
    mark(
        "Shut the heater down, air the room and get people out if an alarm sounds. The "
        "vent and the combustion air are corrected before this heater or a new one is "
        "lit."
    ),
    mark("The flame has rolled out, or wiring is scorched"),
    mark(
        "Shut the heater down and find the cause (blocked flue or arrestor, wrong "
        "pressure, too little air) before anything is fitted or lit."
    ),
    mark("The heater is not made or set up for the fuel that is piped to it"),
    mark(
        "Shut it down. Only the maker's listed conversion, done by licensed people, "
        "may put it on this fuel; else replace the heater by one for this fuel."
    ),
    mark("The sealed chamber is broken and the maker lists no part for it"),
    mark("Do not patch it: the seal keeps flammable vapor from the flame. Replace the heater."),
    mark("The sealed chamber is broken, and whether the maker lists a part for it is not known"),
    mark("Keep the heater shut down until the maker's list has been looked at."),
    mark("A limit or thermal fuse has opened and its cause has not been found"),
    mark(
        "Fit no part and do not reset it. Find what made it too hot (dry tank, blocked "
        "flue or arrestor, a control that does not shut off) and write it down; then "
        "the repair is open again."
    ),
    mark("The inlet pressure is above {limit:in_wc}, more than a gas control is made for"),
    mark(
        "Shut the gas off. The supply is corrected first; then the control is replaced "
        "or proven safe, for its seats may be damaged. No heater, old or new, is lit "
        "on this pressure."
    ),
    mark("{why:phrase}: mend that first"),
)

VERDICT: Final = (
    mark("No replacement may go here as things stand: {why:sentences}"),
    mark("No replacement may go here either as things stand: {why:sentences}"),
    mark("No part that fits can be had today: {why:sentences}"),
    mark("none is on the list"),
    mark(
        "A new heater may not be lit either until that is corrected; after that, "
        "replacing it would be with {name:name} at {price:money}"
    ),
    mark("Repair is closed as things stand. To replace the heater: {name:name} at {price:money}"),
    mark(
        "Repairing is expected to cost {amount:money} less than replacing over the years compared"
    ),
    mark(
        "Replacing is expected to cost {amount:money} less than repairing over the years compared"
    ),
    mark(
        "Repairing is expected to cost {amount:money} less than replacing over the "
        "years compared; up to {band:money} counts as no difference"
    ),
    mark(
        "Replacing is expected to cost {amount:money} less than repairing over the "
        "years compared; up to {band:money} counts as no difference"
    ),
    mark(
        "Repairing is expected to cost {amount:money} less than replacing over the "
        "years compared, but that is not sure enough to call"
    ),
    mark(
        "Replacing is expected to cost {amount:money} less than repairing over the "
        "years compared, but that is not sure enough to call"
    ),
    mark("Repairing turns out cheaper in {count:number} of 100 likely futures"),
    mark("What decides most: {what:list}"),
    mark("Once repaired, running the heater until it fails costs least"),
    mark("Once repaired, replacing it on plan {when:phrase} costs least"),
    mark(
        "Once repaired, replacing it on plan {when:phrase} costs least, {amount:money} "
        "less than waiting for it to fail"
    ),
    mark("in one year"),
    mark("in {count:number} years"),
    mark("Even a repair that cost nothing would not be the cheaper path"),
    mark(
        "Repairing would be the cheaper path at a price below {price:money}; it is "
        "quoted at {now:money}"
    ),
    mark(
        "Replacing would be the cheaper path if the repair cost more than "
        "{price:money}; it is quoted at {now:money}"
    ),
    mark(
        "With all else the same, the two paths cost the same at an age of {age:number} "
        "years; this heater is {now:number}"
    ),
    mark("Half the price of new"),
    mark("Past its mean life"),
    mark("The repair at {repair:money} is more than half of a new heater at {new:money}"),
    mark("The repair at {repair:money} is no more than half of a new heater at {new:money}"),
    mark(
        "The heater is {age:number} years old; heaters like it live {life:number} years on average"
    ),
    mark("how long this heater lasts"),
    mark("the price of a new heater"),
    mark("what energy costs"),
    mark("how often this heater needs mending"),
    mark("the price of this repair"),
    mark(
        "{name:name} would cost less over the years compared, about {amount:money} in "
        "all, if it can go here; look at what is still to be checked"
    ),
)

SAFETY: Final = (
    mark(
        "Work on gas, vents and water heaters is for licensed people under local code. "
        "The rating plate, the maker's instructions and the local code come before "
        "this quote."
    ),
    mark(
        "Every gas joint that is touched is tested with leak solution before the "
        "heater is left, never with a flame."
    ),
    mark(
        "The relief valve (150 psi, {relief:f}) and its full-size discharge pipe must "
        "be in place, open to a safe spot, neither capped nor plugged."
    ),
    mark(
        "At {limit:f} water can still burn in about 5 minutes, and children sooner; "
        "feel it before bathing."
    ),
    mark(
        "Water at {water:f} burns in under 2 seconds. Set the thermostat to {limit:f}, "
        "or fit mixing valves where hotter storage is wanted."
    ),
    mark(
        "Water at {water:f} can burn in {time:phrase} or little more. Set the "
        "thermostat to {limit:f}, or fit mixing valves where hotter storage is wanted."
    ),
    mark("{count:number} seconds"),
    mark(
        "The water system is closed and has no expansion tank: pressure rises each "
        "time the heater fires. An expansion tank, or another listed device, is "
        "needed."
    ),
    mark(
        "Look for a check valve or pressure regulator on the cold line and for an "
        "expansion tank: in a closed system without one, pressure rises each time the "
        "heater fires."
    ),
    mark(
        "The vent must draw and the room must give air enough: both are checked with "
        "the burner on and doors and windows shut before the heater is left."
    ),
    mark(
        "The vent must draw and the room must give air enough: both are checked with "
        "the burner on and doors and windows shut before the heater is left. A small "
        "room needs openings for air."
    ),
    mark(
        "The sealed chamber and its flame arrestor guard against flammable vapor. Once "
        "opened it is closed with a new gasket; gasoline and solvents are kept "
        "elsewhere."
    ),
    mark(
        "In a garage the flame is kept well above the floor and guarded from cars, as "
        "local code says ({height:inches} is common), unless the heater is listed as "
        "vapor resistant."
    ),
    mark("In an earthquake zone the tank is strapped at its upper and lower third."),
    mark("A new heater needs a permit and an inspection in most places."),
    mark(
        "Replacing the heater needs a permit in most places, and some ask for one to "
        "replace a gas part; ask the local office."
    ),
    mark("Replacing the heater needs a permit and an inspection in most places."),
    mark(
        "A working carbon monoxide alarm belongs on every floor, near where people "
        "sleep. If it sounds, go out and call for help."
    ),
)

SOURCES: Final = (
    mark("US Consumer Product Safety Commission, publication 5098"),
    mark("24 CFR 3280.609 (150 psi, 210 °F)"),
    mark("NFPA 54, from memory; common practice"),
    mark("CPSC, 8 July 2003, on flame-arrestor heaters; common practice"),
    mark("common practice; 18 in from NFPA 54, from memory"),
    mark("US Consumer Product Safety Commission advice, from memory"),
    mark("10 CFR 430 subpart B appendix E"),
    mark("Lutz et al., WHAM, ACEEE Summer Study 1998"),
)

ENERGY: Final = (
    mark("The room is as warm as the tank or warmer: standby is taken as nothing."),
    mark(
        "The burner cannot heat that much water in a day; the energy shown is what it would take."
    ),
    mark(
        "Energy of an instantaneous heater is load over its rating: draws shorter than "
        "those of the rating test cost more."
    ),
    mark(
        "Energy of a heat pump is load over its rating, which was found at {test:f}; "
        "this one would stand at {ambient:f}. A colder or smaller room costs more, and "
        "it cools the room that it stands in."
    ),
    mark(
        "The draw bin is taken as {bin:phrase} from the tank's volume, for neither it "
        "nor a first-hour rating was given."
    ),
    mark("very small"),
    mark("low"),
    mark("medium"),
    mark("high"),
    mark(
        "A tank of {volume:gal} lies outside the volumes that the rule covers; its "
        "nearest range is used."
    ),
)

PRICING: Final = (
    mark("Free under the maker's parts warranty; otherwise {price:money}"),
    mark("Not the maker's own part: its warranty does not pay for it"),
    mark("Free under the maker's tank warranty; otherwise {price:money}"),
    mark("{first:phrase}. {second:phrase}"),
    mark("Labor"),
    mark("Sundries"),
    mark("Trip and diagnosis"),
    mark("{price:money} credited because the work goes ahead"),
    mark("{hours:number} h times {factor:number} for hard access"),
    mark("minimum billed time {billed:number} h for {worked:number} h of work"),
    mark("after-hours rate"),
    mark("Plan member, {share:percent} off {kinds:phrase}"),
    mark("Discount, {share:percent} off {kinds:phrase}"),
    mark("{first:phrase} and {second:phrase}"),
    mark("part"),
    mark("labor"),
    mark("trip"),
    mark("permit"),
    mark("disposal"),
    mark("material"),
    mark("heater"),
)

ESTIMATOR_SENTENCES: Final = (
    *STOPS,
    *VERDICT,
    *SAFETY,
    *SOURCES,
    *ENERGY,
    *PRICING,
)
