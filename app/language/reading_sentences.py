"""Sentences about readings, and the names of findings and remedies.

Each is a template as `app.language.templates` reads it: the words exactly as they are said,
what differs in a slot. A full stop at the end makes no difference.
"""

from __future__ import annotations

from typing import Final

from app.language.marking import mark

CAUTIONS: Final = (
    mark(
        "A standing inlet pressure of {value:in_wc} is below zero; zero the gauge and "
        "measure again."
    ),
    mark(
        "A flowing inlet pressure of {value:in_wc} is below zero; zero the gauge and measure again."
    ),
    mark(
        "The inlet pressure with the burner on ({flowing:in_wc}) is above the standing "
        "one ({standing:in_wc_bare}); the two may be swapped. Measure again."
    ),
    mark(
        "An inlet pressure of {value:in_wc} {state:phrase} is too low for "
        "{fuel:phrase} (usually {low:in_wc_bare} to {high:in_wc_bare}); correct the "
        "supply before a part is blamed"
    ),
    mark(
        "An inlet pressure of {value:in_wc} {state:phrase} is too high for "
        "{fuel:phrase} (usually {low:in_wc_bare} to {high:in_wc_bare}); correct the "
        "supply before a part is blamed"
    ),
    mark("standing"),
    mark("with the burner on"),
    mark("It would be usual for {fuel:phrase}: make sure which fuel this is"),
    mark(
        "A manifold pressure of {value:in_wc} is more than 10% off the usual "
        "{low:in_wc_bare} to {high:in_wc_bare} for {fuel:phrase}; hold it against the "
        "plate."
    ),
    mark(
        "The manifold ({value:in_wc}) cannot be above the inlet with the burner on "
        "({inlet:in_wc_bare}); measure again."
    ),
    mark(
        "Millivolts were given, but by its plate the heater has no standing pilot with "
        "a thermocouple or thermopile; check the ignition on the plate."
    ),
    mark("A voltage below zero means that the meter leads are swapped; measure again."),
    mark(
        "{value:number} mV is more than a {output:kept} element gives (at most about "
        "{most:number}); check the meter's range and the ignition on the plate."
    ),
    mark(
        "The voltage under load ({loaded:number} mV) cannot be above the open one "
        "({open:number} mV); the two may be swapped. Measure again."
    ),
    mark(
        "The open-circuit voltage is low, but the flame was not found good: put the "
        "flame right first, then measure again after a minute."
    ),
    mark(
        "The limit reads {ohms:number} ohm, neither closed (near 0) nor open; measure "
        "again with the gas off and one lead taken off."
    ),
    mark(
        "The thermal fuse reads {ohms:number} ohm, neither closed (near 0) nor open; "
        "measure again with the gas off and one lead taken off."
    ),
    mark(
        'The readings speak against "{finding:phrase}": {why:sentences} Check the '
        "finding or measure again before a part is fitted"
    ),
    mark(
        "The gas control is the dearest part and seldom the fault. Before it is "
        "replaced, have {what:list}."
    ),
    mark("the pilot flame judged"),
    mark("the joint at the control checked"),
    mark("the millivolts measured under load"),
    mark("the limit measured where there is one"),
    mark("the thermal fuse measured where there is one"),
    mark("the thermal fuse measured"),
    mark("the water measured at the outlet"),
    mark("A dear part is named while a cheaper cause is open: the readings leave {causes:list}"),
    mark('"{finding:phrase}" (about {share:percent})'),
    mark("{reading:phrase} would tell soonest"),
    mark("Inlet pressure, standing"),
    mark("Inlet pressure, burner on"),
    mark("Manifold pressure"),
    mark("Gas at the pilot"),
    mark("Pilot flame"),
    mark("Spark"),
    mark("Element sits in the flame"),
    mark("Element clean"),
    mark("Lit while the knob is held"),
    mark("Drops when the knob is let go"),
    mark("Pilot while the knob is held and let go"),
    mark("Millivolts, open circuit"),
    mark("Millivolts, under load"),
    mark("Millivolts, at drop-out"),
    mark("Thermal fuse"),
    mark("What made it too hot"),
    mark("Joint at the control clean and tight"),
    mark("Wind or downdraft at the vent"),
    mark("Flame arrestor and screen clean"),
    mark("Burner door seals"),
    mark("Vapor sensor in range"),
    mark("Flame current"),
    mark("Water at the outlet"),
)

EVIDENCE: Final = (
    mark("The pilot flame is good and wraps the element"),
    mark("The pilot flame is small"),
    mark("The pilot flame does not touch the element"),
    mark("The pilot flame lifts off"),
    mark("There is no pilot flame"),
    mark("The pilot drops when the knob is released"),
    mark("The pilot goes out even while the knob is held, which bypasses the sensing circuit"),
    mark("The pilot stays lit after the knob is released"),
    mark("The joint at the control is not tight"),
    mark("The joint at the control is clean and tight"),
    mark("The element is not seated in the flame"),
    mark("The element is seated in the flame"),
    mark("The element carries soot or oxide"),
    mark("The element is clean"),
    mark("The element gives its normal open-circuit voltage ({value:number} mV)"),
    mark("The element gives too little voltage in a good flame ({value:number} mV open circuit)"),
    mark(
        "The open-circuit voltage is low ({value:number} mV), but in a poor flame, "
        "which proves nothing against the element"
    ),
    mark("The open-circuit voltage is low ({value:number} mV); the flame was not judged"),
    mark("The element feeds the control well under load ({value:number} mV)"),
    mark("The voltage is good open but falls too far under load ({value:number} mV)"),
    mark("The voltage under load is low ({value:number} mV): the magnet is not being fed"),
    mark("The limit reads open ({value:ohms})"),
    mark("The limit reads {value:ohms}, neither closed nor open"),
    mark("The limit reads closed ({value:ohms})"),
    mark("The thermal fuse reads open ({value:ohms})"),
    mark("The thermal fuse reads {value:ohms}, neither closed nor open"),
    mark("The thermal fuse reads closed ({value:ohms})"),
    mark("The magnet lets go while it is still fed ({value:number} mV)"),
    mark("The magnet lets go where a sound one does ({value:number} mV)"),
    mark("No gas comes out at the pilot"),
    mark("Gas comes out at the pilot"),
    mark("There is no spark"),
    mark("The spark jumps somewhere else than at the gap"),
    mark("The spark is weak"),
    mark("The spark is good"),
    mark("Wind or a downdraft was seen at the vent"),
    mark("No wind or downdraft was seen at the vent"),
    mark("The flame arrestor or its screen is clogged"),
    mark("The flame arrestor and its screen are clean"),
    mark("The standing inlet pressure is low ({value:in_wc})"),
    mark("The inlet pressure with the burner on is low ({value:in_wc})"),
    mark("The inlet pressure with the burner on is good ({value:in_wc})"),
    mark("The burner door no longer seals"),
    mark("The burner door seals"),
    mark("The vapor sensor is out of range"),
    mark("The vapor sensor is in range"),
    mark("The igniter reads open ({value:ohms})"),
    mark("The igniter is not open ({value:ohms})"),
    mark("The flame current is low ({value:number} microamp)"),
    mark("The flame current is good ({value:number} microamp)"),
    mark(
        "The magnet lets go at {value:number} mV, where those of some controls do; the "
        "maker's figure for this control would tell"
    ),
    mark("There is no flame current ({value:number} microamp): no flame, or no path through it"),
    mark("The water is far above the set temperature ({value:f})"),
    mark(
        "The water is far below the set temperature ({value:f}), as it is whenever the "
        "burner is out"
    ),
    mark("The water comes at the set temperature ({value:f})"),
    mark(
        'By its plate the heater has {ignition:phrase} ignition; "{finding:phrase}" '
        "cannot be found on it"
    ),
    mark("pilot thermocouple"),
    mark("pilot thermopile"),
    mark("intermittent pilot"),
    mark("hot surface"),
    mark('By its plate the chamber is open; "{finding:phrase}" is of a sealed one'),
    mark('By its plate the heater is power vented; "{finding:phrase}" is of a natural draft'),
)

FINDINGS: Final = (
    mark("No spark at the electrode"),
    mark("The igniter does not make a spark, so the pilot flame cannot be lit."),
    mark("No gas at the pilot"),
    mark("Gas does not reach the heater."),
    mark("Weak pilot flame"),
    mark("The pilot flame is too small to keep the heater lit."),
    mark("Pilot hood bent"),
    mark("The pilot flame is thrown to the wrong side, so the heater goes out."),
    mark("Sensing element not seated in the flame"),
    mark("The part that senses the pilot flame does not sit in the flame."),
    mark("Sensing element fouled"),
    mark("Soot covers the part that senses the pilot flame."),
    mark("Sensing element worn"),
    mark("The part that senses the pilot flame is worn out, so the gas shuts off."),
    mark("Loose joint at the control"),
    mark("A joint in the flame-sensing circuit is loose."),
    mark("Limit has opened"),
    mark("A safety switch has opened because something got too hot."),
    mark("Thermal fuse has opened"),
    mark("A one-time safety fuse has opened because something got too hot."),
    mark("Downdraft blows the pilot off"),
    mark("Wind comes down the vent and blows the pilot flame away."),
    mark("Holding magnet in the control failed"),
    mark("The safety valve inside the gas control no longer holds."),
    mark("Thermopile weak"),
    mark("The small generator in the pilot flame makes too little current."),
    mark("Flame arrestor blocked"),
    mark("Lint or dust keeps air from the flame."),
    mark("Vapor sensor tripped"),
    mark("A sensor that guards against flammable fumes has tripped."),
    mark("Burner door seal damaged"),
    mark("The burner door no longer closes tight."),
    mark("Hot-surface igniter open"),
    mark("The part that lights the burner is broken."),
    mark("Flame rod fouled"),
    mark("The rod that proves the flame is dirty."),
    mark("Thermostat holds the wrong temperature"),
    mark("The control does not hold the water at the temperature that is set."),
    mark("Tank leaks"),
)

REMEDIES: Final = (
    mark("Clean the electrode and set the gap"),
    mark("Replace the igniter"),
    mark("Replace the pilot assembly"),
    mark("Restore the gas supply and light"),
    mark("Correct the supply pressure"),
    mark("Clear the pilot orifice and tube"),
    mark("Replace the pilot tube"),
    mark("Replace the pilot orifice"),
    mark("Reseat the sensing element with the right clip"),
    mark("Clean the sensing element"),
    mark("Replace the sensing element"),
    mark("Clean and tighten the joint at the control"),
    mark("Mend the cause, then reset the limit"),
    mark("Mend the cause, then replace the limit"),
    mark("Mend the cause, then replace the thermal fuse"),
    mark("Correct the vent termination"),
    mark("Replace the gas control"),
    mark("Clean the flame arrestor and screen"),
    mark("Find the vapor, then replace the sensor"),
    mark("Replace the burner door and gasket"),
    mark("Clean the flame rod"),
    mark("Replace the flame rod"),
    mark("Replace the heater"),
)

READING_SENTENCES: Final = (
    *CAUTIONS,
    *EVIDENCE,
    *FINDINGS,
    *REMEDIES,
)
