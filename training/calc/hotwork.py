"""Fire watch and clear distance round hot work. The stricter of rule and site applies."""

from training.calc.ranges import Slot, checked

FOOT = 0.3048
CLEAR_FEET = 35
OSHA_WATCH = 1800.0  # s, 29 CFR 1910.252(a)(2), read second hand
HOUR_WATCH_FROM = 2019  # NFPA 51B edition that asks for an hour (from memory)

LAST_SHOT = Slot("last_shot", "t0", "s", "time of the last shot after midnight", 0, 86_400)
RULE_WATCH = Slot("rule_watch", "t_r", "s", "fire watch by rule", 0, 14_400)
SITE_WATCH = Slot("site_watch", "t_s", "s", "fire watch of the site", 0, 14_400)
EDITION = Slot("edition", "y", "1", "year of the NFPA 51B edition", 1994, 2100, whole=True)
DISTANCE = Slot("distance", "d", "m", "distance to what can burn", 0, 1000)


@checked(EDITION)
def nfpa_watch(edition: int) -> float:
    """Fire watch (s) of NFPA 51B: half an hour through 2014, an hour from 2019 (from memory)."""
    return 3600.0 if edition >= HOUR_WATCH_FROM else OSHA_WATCH


@checked(RULE_WATCH, SITE_WATCH)
def watch(rule_watch: float, site_watch: float) -> float:
    """Fire watch (s) to keep: the longer of the rule's and the site's."""
    return max(rule_watch, site_watch)


@checked(LAST_SHOT, RULE_WATCH, SITE_WATCH)
def watch_end(last_shot: float, rule_watch: float, site_watch: float) -> float:
    """When the watch may leave (s after midnight; above 86400 is the next day)."""
    return last_shot + watch(rule_watch, site_watch)


@checked()
def clear_radius() -> float:
    """Distance (m) within which combustibles call for a fire watch: 35 ft."""
    return CLEAR_FEET * FOOT


@checked(DISTANCE)
def distance_short(distance: float) -> float:
    """How much farther (m) what can burn must go to be clear; 0 when it is clear already."""
    return max(0.0, clear_radius() - distance)
