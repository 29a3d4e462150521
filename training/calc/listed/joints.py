"""Rows for fuse wire, joint and heat."""

# ruff: noqa: E501 - a row of the table and the sentence it says stay on one line

from training.calc import fuse, heat, joint
from training.calc.entries import COMPUTED, MEMORY, PRACTICE, READ, Entry, listed
from training.calc.listed.electric import AREA, CURRENT, ENERGY, PER_METRE, RESISTANCE, TEMPERATURE, TIME, VOLTAGE
from training.calc.mistakes import fuse as fuse_slips
from training.calc.mistakes import heat as heat_slips
from training.calc.mistakes import joint as joint_slips
from training.calc.ranges import Slot

DIAMETER = Slot("diameter", "d", "m", "diameter")
LENGTH = Slot("length", "L", "m", "length")
MASS = Slot("mass", "m", "kg", "mass")
LINEAR = Slot("mass_per_metre", "m'", "kg/m", "mass of a metre")
SPECIFIC = Slot("specific_heat", "c", "J/(kg*K)", "specific heat")
ENTHALPY = Slot("enthalpy", "h", "J/kg", "heat of a kilogram")
SHARE = Slot("share", "x", "1", "share")
MARGIN = Slot("margin", "dT", "K", "temperature difference")

ONDERDONK = "Onderdonk's formula (Stauffacher, General Electric Review 1928)"
PREECE = "Preece's formula"
GEOMETRY = "geometry"
OHM = "Ohm's law"
HOLM = "Holm, Electric Contacts"
FOUR_WIRE = "four-wire measurement with reversal"
EN_1993 = "EN 1993-1-2:2005 3.4.1.2"
ISO_17672 = "ISO 17672 silver alloys, ranges from a dealer's list"
ANDREWS = "Andrews 1965"
STUD = "a stud-welding manual"

RADIUS = "You took the diameter as the radius. The area is pi times the diameter squared over 4."
SQUARE = "You took a square pin. A round one has pi over 4 of that."
KILO = "You gave joules as kilojoules. Divide by 1000."
KELVIN = "You took the kelvin temperature as the rise. The rise is the end less the start."
START = "You took the start as 0 °C. The rise is the end less the start."

ENTRIES: tuple[Entry, ...] = (
    *listed("fuse.onderdonk_area", "Copper area that melts in a time", fuse.onderdonk_area, AREA, ONDERDONK, READ,
        ("preece", fuse_slips.area_preece, "You used Preece's formula. It is for a steady current, not for a shot."),
        ("circular_mils", fuse_slips.area_circular_mils, "You gave circular mils as square millimetres. One circular mil is 0.000507 mm²."),
        ("rule_of_thumb", fuse_slips.area_rule_of_thumb, "You took a square millimetre for each 100 A. The time counts too."),
        ("time_not_rooted", fuse_slips.area_time_not_rooted, "You multiplied by the time. The area goes with its square root."),
    ),
    *listed("fuse.onderdonk_time", "Time in which a copper area melts", fuse.onderdonk_time, TIME, ONDERDONK, READ,
        ("not_squared", fuse_slips.time_not_squared, "You left out the square. The time goes with area over current, squared."),
        ("zero_below", fuse_slips.time_zero_below, "You took the wire's temperature off 234. It is added."),
    ),
    *listed("fuse.melt_through_time", "Time in which a copper area melts right through", fuse.melt_through_time, TIME, f"{ONDERDONK} and the heat of fusion from memory", MEMORY,
        ("to_melting", fuse.onderdonk_time, "You stopped at the melting point. Melting itself takes heat as well."),
        ("not_squared", fuse_slips.time_not_squared, "You left out the square. The time goes with area over current, squared."),
    ),
    *listed("fuse.adiabatic_area", "Copper area that melts in a time, logarithmic form", fuse.adiabatic_area, AREA, "IEC 60949 form", READ,
        ("preece", fuse_slips.area_preece, "You used Preece's formula. It is for a steady current, not for a shot."),
        ("rule_of_thumb", fuse_slips.area_rule_of_thumb, "You took a square millimetre for each 100 A. The time counts too."),
    ),
    *listed("fuse.diameter", "Diameter of a round wire", fuse.diameter, DIAMETER, GEOMETRY, COMPUTED,
        ("root", fuse_slips.diameter_root, "You took the root of the area. That is the side of a square wire."),
        ("radius", fuse_slips.diameter_radius, "You gave the radius. Double it."),
    ),
    *listed("fuse.preece_current", "Steady current that melts a copper wire", fuse.preece_current, CURRENT, PREECE, READ,
        ("millimetres", fuse_slips.preece_millimetres, "You used the constant for inches with millimetres."),
        ("linear", fuse_slips.preece_linear, "You used the diameter as it is. It goes to the power one and a half."),
    ),
    *listed("fuse.preece_diameter", "Copper wire that a steady current melts", fuse.preece_diameter, DIAMETER, PREECE, READ),
    *listed("fuse.time_ratio", "Burn time at another current", fuse.time_ratio, TIME, "heat goes with current squared", COMPUTED,
        ("linear", fuse_slips.ratio_linear, "You left out the square. The time goes as one over the current squared."),
        ("upside_down", fuse_slips.ratio_upside_down, "You turned the ratio over. Less current takes longer."),
        ("no_change", fuse_slips.ratio_no_change, "You left the time unchanged. Less current takes longer."),
    ),
    *listed("fuse.time_with_loss", "Burn time of a wire that loses heat", fuse.time_with_loss, TIME, "lumped wire, one time constant", COMPUTED,
        ("no_loss", fuse_slips.loss_squared_only, "You left out the heat that the wire loses. Near the least current the time runs away."),
        ("not_squared", fuse_slips.loss_not_squared, "You did not square the currents."),
    ),
    *listed("fuse.time_constant", "Time constant of a wire", fuse.time_constant, TIME, "lumped wire, one time constant", COMPUTED),
    *listed("joint.pin_area", "Area of the pin", joint.pin_area, AREA, GEOMETRY, COMPUTED,
        ("radius", joint_slips.area_radius, RADIUS),
        ("circumference", joint_slips.area_circumference, "You gave the circumference. The area is pi times the diameter squared over 4."),
        ("square", joint_slips.area_square, SQUARE),
    ),
    *listed("joint.pin_mass", "Mass of the pin", joint.pin_mass, MASS, GEOMETRY, COMPUTED,
        ("radius", joint_slips.mass_radius, RADIUS),
        ("square", joint_slips.mass_square, SQUARE),
    ),
    *listed("joint.rail_resistance", "Resistance of a metre of rail", joint.rail_resistance, PER_METRE, "resistivity over area", COMPUTED,
        ("multiplied", joint_slips.rail_multiplied, "You multiplied by the area. More steel means less resistance: divide."),
        ("copper", joint_slips.rail_copper, "You used the resistivity of copper. Rail steel has more than ten times as much."),
        ("centimetres", joint_slips.rail_centimetres, "You slipped between square centimetres and square millimetres."),
    ),
    *listed("joint.rail_mass", "Mass of a metre of rail", joint.rail_mass, LINEAR, "area times density", COMPUTED,
        ("water", joint_slips.rail_mass_water, "You used the density of water. Steel has 7850 kg/m³."),
        ("pounds", joint_slips.rail_mass_pounds, "You gave pounds for each yard as kilograms for each metre."),
    ),
    *listed("joint.equivalent_length", "Length of rail equal to a bond", joint.equivalent_length, LENGTH, "bond resistance over rail resistance", COMPUTED,
        ("multiplied", joint_slips.equivalent_multiplied, "You multiplied the two resistances. Divide the bond's by that of a metre of rail."),
        ("copper", joint_slips.equivalent_copper, "You used the resistivity of copper. Rail steel has more than ten times as much."),
        ("centimetres", joint_slips.equivalent_centimetres, "You slipped between square centimetres and square millimetres."),
    ),
    *listed("joint.bond_resistance", "Resistance of a bond", joint.bond_resistance, RESISTANCE, OHM, COMPUTED,
        ("one_joint", joint_slips.bond_one_joint, "You counted one joint. A bond has one at either end."),
        ("no_joints", joint_slips.bond_no_joints, "You left out the joints. A bond has one at either end."),
        ("there_and_back", joint_slips.bond_there_and_back, "You counted the cable twice. The current passes a bond once."),
    ),
    *listed("joint.spreading_resistance", "Resistance from a contact into the rail", joint.spreading_resistance, RESISTANCE, HOLM, MEMORY,
        ("radius", joint_slips.spreading_radius, "You divided by the diameter once. Divide by twice the diameter."),
        ("pi", joint_slips.spreading_pi, "You divided by the circumference. Divide by twice the diameter."),
    ),
    *listed("joint.bar_resistance", "Resistance along a pin or through a layer", joint.bar_resistance, RESISTANCE, OHM, COMPUTED,
        ("radius", joint_slips.bar_radius, RADIUS),
        ("square", joint_slips.bar_square, SQUARE),
    ),
    *listed("joint.allowed_extra", "Resistance a joint may add to a rail length", joint.allowed_extra, RESISTANCE, "EN 50122-2, share of the rail's resistance", MEMORY,
        ("whole", joint_slips.extra_whole, "You gave the resistance of the whole length. Only a share of it may be added."),
        ("one_metre", joint_slips.extra_one_metre, "You took one metre of rail. Take the whole length between joints."),
    ),
    *listed("joint.kelvin", "Four-wire resistance with reversal", joint.kelvin, RESISTANCE, FOUR_WIRE, COMPUTED,
        ("one_polarity", joint_slips.kelvin_one_polarity, "You used one polarity. The warm joint's own voltage is still in it."),
        ("added", joint_slips.kelvin_added, "You added the readings. With their signs that leaves the offset: take the difference."),
        ("no_two", joint_slips.kelvin_no_two, "You forgot the 2. The difference of the readings holds the joint twice."),
    ),
    *listed("joint.kelvin_expanded", "Uncertainty of the four-wire resistance", joint.kelvin_expanded, RESISTANCE, "JCGM 100:2008, 4.3.7 and 5.1.2", MEMORY),
    *listed("joint.offset", "Voltage that does not turn with the current", joint.offset, VOLTAGE, FOUR_WIRE, COMPUTED,
        ("difference", joint_slips.offset_difference, "You took the difference. That is the joint; the offset is half the sum."),
        ("no_two", joint_slips.offset_no_two, "You forgot to halve. The sum of the readings holds the offset twice."),
    ),
    *listed("joint.warm_error", "Error of a warm joint read with one polarity", joint.warm_error, RESISTANCE, "copper against iron, about 13 µV/K", MEMORY,
        ("no_current", joint_slips.warm_no_current, "You gave volts as ohms. Divide by the measuring current."),
        ("multiplied", joint_slips.warm_multiplied, "You multiplied by the measuring current. Divide by it."),
    ),
    *listed("joint.joint_only", "Resistance of the joint without rail", joint.joint_only, RESISTANCE, OHM, COMPUTED,
        ("rail_left_in", joint_slips.joint_rail_left_in, "You left the rail between the probes in the reading."),
        ("rail_added", joint_slips.joint_rail_added, "You added the rail. It is in the reading already: take it off."),
        ("whole_metre", joint_slips.joint_whole_metre, "You took off a whole metre of rail. Take off what lies between the probes."),
    ),
    *listed("joint.site_limit", "Site limit from good test bonds", joint.site_limit, RESISTANCE, "middle reading and half as much again", PRACTICE,
        ("half", joint_slips.limit_half, "You gave half the middle reading. The limit is half as much again on top of it."),
        ("typical", joint_slips.limit_typical, "You gave the middle reading itself. Half of the good bonds would fail."),
    ),
    *listed("joint.lead_drop_share", "Share of the driving voltage that a lead takes", joint.lead_drop_share, SHARE, "DNV-RP-B401 asks for at most a tenth", MEMORY,
        ("volts", joint_slips.share_is_drop, "You gave the drop in volts. Divide it by the driving voltage."),
        ("no_current", joint_slips.share_no_current, "You left out the current. The drop is current times resistance."),
    ),
    *listed("heat.steel_specific_heat", "Specific heat of steel", heat.steel_specific_heat, SPECIFIC, EN_1993, READ),
    *listed("heat.steel_enthalpy", "Heat of a kilogram of steel", heat.steel_enthalpy, ENTHALPY, EN_1993, READ),
    *listed("heat.steel_heat", "Heat of a steel part", heat.steel_heat, ENERGY, EN_1993, READ,
        ("cold_value", heat_slips.steel_flat, "You used the specific heat at the start for the whole way. It rises with temperature."),
        ("hot_value", heat_slips.steel_hot, "You used the specific heat at the end for the whole way. It is less on the way up."),
    ),
    *listed("heat.heat", "Heat with a flat specific heat", heat.heat, ENERGY, "mass times specific heat times rise", COMPUTED,
        ("kelvin", heat_slips.heat_kelvin, KELVIN),
        ("no_start", heat_slips.heat_no_start, START),
        ("thousand", heat_slips.heat_thousand, KILO),
    ),
    *listed("heat.pin_heat", "Heat of a pin", heat.pin_heat, ENERGY, "mass times specific heat times rise", COMPUTED,
        ("kelvin", heat_slips.pin_heat_kelvin, KELVIN),
        ("radius", heat_slips.pin_heat_radius, RADIUS),
        ("thousand", heat_slips.pin_heat_thousand, KILO),
        ("no_start", heat_slips.pin_heat_no_start, START),
    ),
    *listed("heat.arc_energy", "Energy of the arc", heat.arc_energy, ENERGY, "voltage times current times time", COMPUTED,
        ("no_time", heat_slips.arc_no_time, "You left out the time of the shot. Voltage times current is power."),
        ("no_voltage", heat_slips.arc_no_voltage, "You left out the voltage. Current times time is charge."),
    ),
    *listed("heat.energy_share", "Share of the energy", heat.energy_share, SHARE, "part over whole", COMPUTED,
        ("upside_down", heat_slips.share_upside_down, "You turned the ratio over. A share is part over whole."),
        ("rest", heat_slips.share_rest, "You gave the share that went elsewhere."),
    ),
    *listed("heat.margin", "Difference of two temperatures", heat.margin, MARGIN, "definition of the scales", COMPUTED,
        ("with_32", heat_slips.margin_with_32, "You added 32 to a difference. Only a reading on the scale has the 32; a difference has the 1.8 alone."),
        ("not_turned", heat_slips.margin_not_turned, "You gave kelvin as degrees Fahrenheit. Multiply by 1.8."),
        ("fahrenheit", heat_slips.margin_in_fahrenheit, "You gave degrees Fahrenheit as kelvin. Do not multiply by 1.8."),
        ("kelvin", heat_slips.margin_kelvin, "You added 273 to a difference. A difference in kelvin is the same as in degrees Celsius."),
    ),
    *listed("heat.ac1", "Temperature at which steel turns", heat.ac1, TEMPERATURE, ANDREWS, MEMORY,
        ("manganese_up", heat_slips.ac1_manganese_up, "You added the manganese. It lowers the temperature."),
        ("no_silicon", heat_slips.ac1_no_silicon, "You left out the silicon. It raises the temperature."),
    ),
    *listed("heat.martensite_start", "Temperature at which martensite begins", heat.martensite_start, TEMPERATURE, ANDREWS, MEMORY,
        ("no_manganese", heat_slips.martensite_no_manganese, "You left out the manganese. It lowers the temperature."),
        ("manganese_up", heat_slips.martensite_added, "You added the manganese. It lowers the temperature."),
    ),
    *listed("heat.alloy_solidus", "Solidus of a silver alloy", heat.alloy_solidus, TEMPERATURE, ISO_17672, READ),
    *listed("heat.alloy_liquidus", "Liquidus of a silver alloy", heat.alloy_liquidus, TEMPERATURE, ISO_17672, READ),
    *listed("heat.liquidus_margin", "Margin of the liquidus below the turning of steel", heat.liquidus_margin, MARGIN, f"{ISO_17672}; {ANDREWS}", READ,
        ("solidus", heat_slips.liquidus_solidus, "You used the solidus, where melting only begins. The braze flows at the liquidus."),
        ("usual_650", heat_slips.liquidus_usual, "You used 650 °C. That is not the liquidus of every alloy: look at the alloy."),
        ("fahrenheit", heat_slips.liquidus_fahrenheit, "You gave degrees Fahrenheit as kelvin. Do not multiply by 1.8."),
    ),
    *listed("heat.stud_current", "Current of stud welding, for comparison", heat.stud_current, CURRENT, STUD, READ),
    *listed("heat.stud_time", "Time of stud welding, for comparison", heat.stud_time, TIME, STUD, READ),
)  # fmt: skip
