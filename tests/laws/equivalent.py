"""Faults that change no answer, by place, each with the reason."""

_SYMMETRIC = "the order of the two does not matter: the result and the ranges are the same"
_SLACK = "a slack for float noise may be a tenth larger or smaller: noise is far below it, printed digits far above"
_BETWEEN = "only a value exactly one slack beyond the bound tells them apart, and no printed value lies there"
_BRACKET = "only where the search begins or how fast it widens; it ends at the same number"

EQUIVALENT: dict[str, str] = {
    "circuit.current: loop_resistance(pack_resistance, lead_resistance, earth_resistance, arc_resistance) becomes "
    "loop_resistance(lead_resistance, pack_resistance, earth_resistance, arc_resistance)": _SYMMETRIC,
    "hotwork.watch_end: watch(rule_watch, site_watch) becomes watch(site_watch, rule_watch)": _SYMMETRIC,
    "leads._row: math.isclose(area, size * 1e-06, rel_tol=1e-09) becomes "
    "math.isclose(size * 1e-06, area, rel_tol=1e-09)": _SYMMETRIC,
    "leads._row: 1e-09 becomes 1.1000000000000001e-09": _SLACK,
    "evidence.sample_size: 1e-12 becomes 1.1000000000000002e-12": _SLACK,
    "evidence.sample_size: 1e-12 becomes 1.1000000000000002e-12 (2)": _SLACK,
    "eyes.shade_by_electrode: SLACK becomes SLACK * 1.1": _SLACK,
    "eyes.shade_by_electrode: SLACK becomes SLACK * 1.1 (2)": _SLACK,
    "whole.down: SLACK becomes SLACK * 1.1": _SLACK,
    "whole.up: SLACK becomes SLACK * 1.1": _SLACK,
    "whole.down: 1.0 becomes 1.1": _SLACK,
    "whole.up: 1.0 becomes 1.1": _SLACK,
    "eyes.shade_by_electrode: size < below - SLACK becomes size <= below - SLACK": _BETWEEN,
    "eyes.shade_by_electrode: size > 8 + SLACK becomes size >= 8 + SLACK": _BETWEEN,
    "evidence.sample_size: scipy.stats.binom.cdf(failures, high, 1 - reliability) > 1 - confidence + 1e-12 becomes "
    "scipy.stats.binom.cdf(failures, high, 1 - reliability) >= 1 - confidence + 1e-12": _BETWEEN,
    "evidence.sample_size: scipy.stats.binom.cdf(failures, middle, 1 - reliability) > 1 - confidence + 1e-12 becomes "
    "scipy.stats.binom.cdf(failures, middle, 1 - reliability) >= 1 - confidence + 1e-12": _BETWEEN,
    "evidence.sample_size: 1 becomes 2": _BRACKET,
    "evidence.sample_size: 2 becomes 3": _BRACKET,
    "evidence.sample_size: failures + 1 becomes 1": _BRACKET,
    "heat.steel_enthalpy: bottom < top becomes bottom <= top": "an empty piece adds nothing",
    "heat.steel_specific_heat: t < 735 becomes t <= 735": "both pieces of EN 1993-1-2 give 5000 J/(kg K) at 735 degC",
}
