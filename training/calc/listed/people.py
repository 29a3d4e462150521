"""Rows for what protects people, and for what a test proves."""

# ruff: noqa: E501 - a row of the table and the sentence it says stay on one line

from training.calc import evidence, eyes, hotwork, lifting, noise, vibration, windchill
from training.calc.entries import COMPUTED, MEMORY, READ, Entry, listed
from training.calc.listed.electric import COUNT, MEAN, PROBABILITY, RATIO, TEMPERATURE, TIME
from training.calc.mistakes import evidence as evidence_slips
from training.calc.mistakes import eyes as eye_slips
from training.calc.mistakes import hotwork as hotwork_slips
from training.calc.mistakes import lifting as lifting_slips
from training.calc.mistakes import noise as noise_slips
from training.calc.mistakes import vibration as vibration_slips
from training.calc.mistakes import windchill as wind_slips
from training.calc.ranges import Slot

SHADE = Slot("shade", "N", "1", "shade number", whole=True)
FINE_SHADE = Slot("shade", "N", "1", "shade number")
SHARE = Slot("share", "x", "1", "share")
INDEX = Slot("index", "W", "1", "wind chill index")
DISTANCE = Slot("distance", "d", "m", "distance")
MULTIPLIER = Slot("multiplier", "M", "1", "multiplier")
LIMIT = Slot("limit", "RWL", "kg", "recommended weight limit")
LIFTING = Slot("lifting_index", "LI", "1", "lifting index")
DOSE = Slot("dose", "D", "1", "noise dose")
LEVEL = Slot("level", "L", "dB", "average sound level")
EXPOSURE = Slot("exposure", "A(8)", "m/s2", "daily exposure")
POINTS = Slot("points", "n", "1", "exposure points")

SHADES = "29 CFR 1910.133(a)(5)"
FILTER = "N = 1 + 7/3 log10(1/tau)"
WIND_CANADA = "Meteorological Service of Canada, index of 2001"
WIND_US = "US National Weather Service, index of 2001"
OBJECTS = "US National Weather Service, text to the chart"
OSHA_FIRE = "29 CFR 1910.252(a)(2)"
NFPA = "NFPA 51B"
NIOSH_LIFT = "NIOSH 94-110 (revised 9/2021)"
OSHA_NOISE = "29 CFR 1910.95 and Appendix A"
NIOSH_NOISE = "NIOSH 98-126"
VIBRATION = "ISO 5349-1:2001 as cited in 2002/44/EC"
CLOPPER = "Clopper and Pearson 1934"

ENTRIES: tuple[Entry, ...] = (
    *listed("eyes.shade_by_current", "Least shade by current", eyes.shade_by_current, SHADE, SHADES, READ,
        ("torch", eye_slips.shade_torch, "You used the shade of torch brazing. This is an arc."),
        ("one_lighter", eye_slips.shade_one_lighter, "You went one shade below the least. Never go below it."),
        ("plasma", eye_slips.shade_plasma, "You used the row of plasma cutting. Its allowance for a hidden arc is not for this work."),
    ),
    *listed("eyes.comfort_shade", "Shade for comfort by current", eyes.comfort_shade, SHADE, "ANSI Z49.1:2012", READ,
        ("torch", eye_slips.shade_torch, "You used the shade of torch brazing. This is an arc."),
        ("least", eye_slips.comfort_least, "You gave the least shade. Comfort asks for a darker one."),
    ),
    *listed("eyes.shade_by_electrode", "Least shade by electrode size", eyes.shade_by_electrode, SHADE, SHADES, READ,
        ("torch", eye_slips.shade_torch, "You used the shade of torch brazing. This is an arc."),
        ("millimetres", eye_slips.shade_electrode_millimetres, "You read millimetres as thirty-seconds of an inch. 8 mm is a little over ten of them."),
    ),
    *listed("eyes.transmittance", "Share of light a shade lets through", eyes.transmittance, SHARE, FILTER, READ,
        ("doubling", eye_slips.transmittance_doubling, "You halved the light for each shade. One shade is 2.68 times."),
        ("decades", eye_slips.transmittance_decades, "You took a tenth for each shade. One shade is 2.68 times."),
    ),
    *listed("eyes.shade_from_transmittance", "Shade of a filter", eyes.shade_from_transmittance, FINE_SHADE, FILTER, READ),
    *listed("eyes.shade_ratio", "Light through two shades compared", eyes.shade_ratio, RATIO, FILTER, READ,
        ("numbers", eye_slips.ratio_of_numbers, "You divided the shade numbers. They count steps: each is 2.68 times."),
        ("doubling", eye_slips.ratio_doubling, "You doubled for each shade. One shade is 2.68 times."),
        ("decades", eye_slips.ratio_decades, "You took ten times for each shade. One shade is 2.68 times."),
    ),
    *listed("windchill.wind_power", "Wind to the power 0.16", windchill.wind_power, MULTIPLIER, WIND_CANADA, READ),
    *listed("windchill.index", "Wind chill index, metric", windchill.index, INDEX, WIND_CANADA, READ,
        ("half_wind", wind_slips.index_half_wind, "You took half the wind off the temperature. There is no such rule."),
        ("metres", wind_slips.index_metres, "You put metres per second into the formula for kilometres per hour."),
        ("air", wind_slips.index_air, "You gave the air temperature. Wind makes bare skin lose heat faster."),
    ),
    *listed("windchill.index_us", "Wind chill, United States form", windchill.index_us, TEMPERATURE, WIND_US, READ,
        ("half_wind", wind_slips.index_us_half_wind, "You took half the wind off the temperature. There is no such rule."),
        ("air", wind_slips.index_air, "You gave the air temperature. Wind makes bare skin lose heat faster."),
    ),
    *listed("windchill.object_temperature", "How cold wind makes a pack", windchill.object_temperature, TEMPERATURE, OBJECTS, READ,
        ("index", wind_slips.object_index, "You gave the wind chill. Only skin has one: a pack never goes below air temperature."),
        ("halfway", wind_slips.object_halfway, "You went halfway to the wind chill. A pack never goes below air temperature."),
    ),
    *listed("windchill.frostbite_soonest", "Shortest time to frostbite", windchill.frostbite_soonest, TIME, WIND_CANADA, READ),
    *listed("hotwork.nfpa_watch", "Fire watch by edition", hotwork.nfpa_watch, TIME, NFPA, MEMORY),
    *listed("hotwork.watch", "Fire watch to keep", hotwork.watch, TIME, f"{OSHA_FIRE}; {NFPA}", READ,
        ("shorter", hotwork_slips.watch_shorter, "You took the shorter of the two. The stricter rule applies."),
        ("added", hotwork_slips.watch_added, "You added the two. They run together: the longer one applies."),
    ),
    *listed("hotwork.watch_end", "When the fire watch may leave", hotwork.watch_end, TIME, f"{OSHA_FIRE}; {NFPA}", READ,
        ("half_hour", hotwork_slips.end_half_hour, "You took half an hour. The site asks for more, and the stricter rule applies."),
        ("at_once", hotwork_slips.end_at_once, "You let the watch leave with the last shot. A smoulder shows later."),
        ("added", hotwork_slips.end_added, "You added the two. They run together: the longer one applies."),
    ),
    *listed("hotwork.clear_radius", "Distance to keep clear", hotwork.clear_radius, DISTANCE, OSHA_FIRE, READ,
        ("metres_as_feet", hotwork_slips.radius_metres_as_feet, "You read metres as feet. It is 35 ft, which is 10.7 m."),
        ("feet_as_metres", hotwork_slips.radius_feet_as_metres, "You read feet as metres. It is 35 ft, which is 10.7 m."),
    ),
    *listed("hotwork.distance_short", "How much farther what can burn must go", hotwork.distance_short, DISTANCE, OSHA_FIRE, READ,
        ("feet_as_metres", hotwork_slips.short_feet_as_metres, "You read feet as metres. It is 35 ft, which is 10.7 m."),
        ("whole", hotwork_slips.short_whole_radius, "You gave the whole distance. Take off what it lies away already."),
        ("added", hotwork_slips.short_added, "You added the distances. Take off what it lies away already."),
    ),
    *listed("lifting.frequency_multiplier", "Frequency multiplier", lifting.frequency_multiplier, MULTIPLIER, f"{NIOSH_LIFT}, Table 5", READ),
    *listed("lifting.grip_multiplier", "Grip multiplier", lifting.grip_multiplier, MULTIPLIER, NIOSH_LIFT, READ),
    *listed("lifting.limit", "Recommended weight limit", lifting.limit, LIMIT, NIOSH_LIFT, READ,
        ("constant", lifting_slips.limit_constant, "You gave 23 kg. That is for the best case only: multiply it down."),
        ("no_frequency", lifting_slips.limit_no_frequency, "You left out frequency and grip."),
        ("one_hour", lifting_slips.limit_one_hour, "You used the frequency multiplier of one hour. The lifting goes on for longer."),
    ),
    *listed("lifting.index", "Lifting index", lifting.index, LIFTING, NIOSH_LIFT, READ,
        ("constant", lifting_slips.index_constant, "You compared with 23 kg. That is for the best case only."),
        ("upside_down", lifting_slips.index_upside_down, "You turned the ratio over. The index is load over limit."),
        ("one_hour", lifting_slips.index_one_hour, "You used the frequency multiplier of one hour. The lifting goes on for longer."),
    ),
    *listed("noise.osha_allowed", "Time allowed at a level, OSHA", noise.osha_allowed, TIME, OSHA_NOISE, READ,
        ("niosh", noise_slips.allowed_other_rule, "You used the stricter NIOSH advice. The question asks for OSHA: 90 dBA, halved for each 5 dB."),
        ("proportion", noise_slips.allowed_proportion, "You went in proportion to the decibels. Each 5 dB halves the time."),
        ("shift", noise_slips.allowed_shift, "You allowed a whole shift. That is for 90 dBA only."),
    ),
    *listed("noise.niosh_allowed", "Time advised at most at a level, NIOSH", noise.niosh_allowed, TIME, NIOSH_NOISE, READ,
        ("osha", noise_slips.allowed_legal_rule, "You used the OSHA rule. The question asks for NIOSH: 85 dBA, halved for each 3 dB."),
        ("shift", noise_slips.allowed_shift, "You allowed a whole shift. That is for 85 dBA only."),
    ),
    *listed("noise.osha_part", "Part of a dose, OSHA", noise.osha_part, DOSE, OSHA_NOISE, READ),
    *listed("noise.niosh_part", "Part of a dose, NIOSH", noise.niosh_part, DOSE, NIOSH_NOISE, READ),
    *listed("noise.osha_dose", "Noise dose, OSHA limit", noise.osha_dose, DOSE, OSHA_NOISE, READ,
        ("niosh", noise_slips.dose_other_rule, "You used the stricter NIOSH advice. The question asks for OSHA: 90 dBA, halved for each 5 dB."),
        ("time_only", noise_slips.dose_time_only, "You counted the time only. Each level has its own allowed time."),
        ("averaged", noise_slips.dose_averaged, "You averaged the decibels. Take each part over its allowed time, then add."),
    ),
    *listed("noise.osha_dose_hearing", "Noise dose, OSHA hearing conservation", noise.osha_dose_hearing, DOSE, OSHA_NOISE, READ,
        ("limit_only", noise.osha_dose, "You left out levels below 90 dBA. For hearing conservation they count from 80 dBA."),
        ("time_only", noise_slips.dose_time_only, "You counted the time only. Each level has its own allowed time."),
        ("averaged", noise_slips.dose_averaged, "You averaged the decibels. Take each part over its allowed time, then add."),
    ),
    *listed("noise.niosh_dose", "Noise dose, NIOSH", noise.niosh_dose, DOSE, NIOSH_NOISE, READ,
        ("osha", noise_slips.dose_legal_rule, "You used the OSHA rule. The question asks for NIOSH: 85 dBA, halved for each 3 dB."),
        ("time_only", noise_slips.dose_time_only, "You counted the time only. Each level has its own allowed time."),
    ),
    *listed("noise.osha_average", "Eight-hour average level, OSHA", noise.osha_average, LEVEL, OSHA_NOISE, READ,
        ("niosh", noise_slips.average_other_rule, "You used the stricter NIOSH advice. The question asks for OSHA."),
        ("proportion", noise_slips.average_proportion, "You multiplied 90 by the dose. Decibels go with its logarithm."),
    ),
    *listed("noise.niosh_average", "Eight-hour average level, NIOSH", noise.niosh_average, LEVEL, NIOSH_NOISE, READ,
        ("osha", noise_slips.average_legal_rule, "You used the OSHA rule. The question asks for NIOSH."),
        ("proportion", noise_slips.average_proportion_niosh, "You multiplied 85 by the dose. Decibels go with its logarithm."),
    ),
    *listed("vibration.exposure", "Daily vibration exposure", vibration.exposure, EXPOSURE, VIBRATION, READ,
        ("linear", vibration_slips.exposure_linear, "You multiplied by the share of the day. Use its square root."),
        ("not_referred", vibration_slips.exposure_not_referred, "You gave the tool's own figure. Refer it to eight hours."),
        ("one_hour", vibration_slips.exposure_one_hour, "You referred it to one hour. The day has eight."),
    ),
    *listed("vibration.exposure_two", "Daily vibration exposure of two tools", vibration.exposure_two, EXPOSURE, VIBRATION, READ,
        ("added", vibration_slips.two_added, "You added the exposures. Their squares add; then take the root."),
        ("worst", vibration_slips.two_worst, "You took the greater one. The other counts too: the squares add."),
    ),
    *listed("vibration.points", "Vibration exposure points", vibration.points, POINTS, VIBRATION, READ,
        ("not_squared", vibration_slips.points_not_squared, "You did not square the vibration."),
        ("of_limit", vibration_slips.points_of_limit, "You compared with the limit of 5. 100 points are the action value of 2.5."),
    ),
    *listed("vibration.time_to_action", "Trigger time to the action value", vibration.time_to_action, TIME, VIBRATION, READ,
        ("linear", vibration_slips.action_linear, "You did not square the ratio."),
        ("limit", vibration_slips.action_is_limit, "You gave the time to the limit of 5. The action value is 2.5."),
    ),
    *listed("vibration.time_to_limit", "Trigger time to the limit", vibration.time_to_limit, TIME, VIBRATION, READ,
        ("linear", vibration_slips.limit_linear, "You did not square the ratio."),
        ("action", vibration_slips.limit_is_action, "You gave the time to the action value of 2.5. The limit is 5."),
    ),
    *listed("evidence.run_quotient", "Length of a run before rounding", evidence.run_quotient, MEAN, CLOPPER, COMPUTED),
    *listed("evidence.success_run", "Bonds, all good, that prove a share", evidence.success_run, COUNT, CLOPPER, COMPUTED,
        ("rounded_down", evidence_slips.run_rounded_down, "You rounded down. Then it is not proved: round up."),
        ("reciprocal", evidence_slips.run_reciprocal, "You took one over the share of bad bonds. That leaves out the confidence."),
        ("two_sided", evidence_slips.run_two_sided, "You halved the risk, as for two sides. Here only one side counts."),
    ),
    *listed("evidence.sample_size", "Bonds that prove a share, some bad allowed", evidence.sample_size, COUNT, CLOPPER, COMPUTED,
        ("no_failures", evidence_slips.size_no_failures, "You took the number for no bad bond. Allowing one needs more bonds."),
        ("failures_added", evidence_slips.size_failures_added, "You added one bond for each bad one. It takes many more."),
    ),
    *listed("evidence.demonstrated", "Share of good bonds that a run proves", evidence.demonstrated, SHARE, CLOPPER, COMPUTED,
        ("all", evidence_slips.demonstrated_all, "You took all good as proof of all. A short run proves far less."),
        ("confidence", evidence_slips.demonstrated_confidence, "You gave the confidence. The share proved depends on the number of bonds."),
        ("swapped", evidence_slips.demonstrated_swapped, "You took the root of the confidence. Take it of the risk, one less the confidence."),
    ),
    *listed("evidence.demonstrated_uniform_prior", "Share that a run proves, uniform prior", evidence.demonstrated_uniform_prior, SHARE, "Bayes, uniform prior", COMPUTED),
    *listed("evidence.exact_low", "Exact interval, lower end", evidence.exact_low, SHARE, CLOPPER, COMPUTED),
    *listed("evidence.exact_high", "Exact interval, upper end", evidence.exact_high, SHARE, CLOPPER, COMPUTED),
    *listed("evidence.wilson_low", "Score interval, lower end", evidence.wilson_low, SHARE, "Wilson 1927", COMPUTED),
    *listed("evidence.wilson_high", "Score interval, upper end", evidence.wilson_high, SHARE, "Wilson 1927", COMPUTED),
    *listed("evidence.lower_bound", "Share of good bonds proved", evidence.lower_bound, SHARE, CLOPPER, COMPUTED,
        ("observed", evidence_slips.bound_observed, "You gave the share seen. What is proved is less."),
        ("times_confidence", evidence_slips.bound_times_confidence, "You multiplied by the confidence. That is no bound."),
    ),
    *listed("evidence.pass_probability", "Chance of passing a practical", evidence.pass_probability, PROBABILITY, "binomial distribution", COMPUTED,
        ("one_bond", evidence_slips.pass_one_bond, "You gave the chance of one good bond."),
        ("none_allowed", evidence_slips.pass_none_allowed, "You allowed no bad bond."),
        ("failing", evidence_slips.pass_failing, "You gave the chance of failing."),
    ),
    *listed("evidence.retest_risk", "Chance of passing in several tries", evidence.retest_risk, PROBABILITY, "independent tries", COMPUTED,
        ("once", evidence_slips.retest_once, "You gave the chance of one try."),
        ("every", evidence_slips.retest_every, "You gave the chance of passing every try."),
        ("added", evidence_slips.retest_added, "You added the chances. They overlap."),
    ),
)  # fmt: skip
