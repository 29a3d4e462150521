"""Wrong answers about fire watch and clear distance."""

from training.calc import hotwork
from training.calc.hotwork import CLEAR_FEET, DISTANCE, FOOT, LAST_SHOT, OSHA_WATCH, RULE_WATCH, SITE_WATCH
from training.calc.ranges import checked


@checked(RULE_WATCH, SITE_WATCH)
def watch_shorter(rule_watch: float, site_watch: float) -> float:
    """The shorter of the two (s)."""
    return min(rule_watch, site_watch)


@checked(RULE_WATCH, SITE_WATCH)
def watch_added(rule_watch: float, site_watch: float) -> float:
    """Both, one after the other (s)."""
    return rule_watch + site_watch


@checked(LAST_SHOT)
def end_half_hour(last_shot: float) -> float:
    """Half an hour, whatever the site asks (s after midnight)."""
    return last_shot + OSHA_WATCH


@checked(LAST_SHOT)
def end_at_once(last_shot: float) -> float:
    """With the last shot (s after midnight)."""
    return last_shot


@checked(LAST_SHOT, RULE_WATCH, SITE_WATCH)
def end_added(last_shot: float, rule_watch: float, site_watch: float) -> float:
    """Both, one after the other (s after midnight)."""
    return last_shot + watch_added(rule_watch, site_watch)


@checked()
def radius_metres_as_feet() -> float:
    """10.7 called feet (m)."""
    return hotwork.clear_radius() * FOOT


@checked()
def radius_feet_as_metres() -> float:
    """35 called metres (m)."""
    return CLEAR_FEET


@checked(DISTANCE)
def short_feet_as_metres(distance: float) -> float:
    """To 35 m (m)."""
    return max(0.0, CLEAR_FEET - distance)


@checked()
def short_whole_radius() -> float:
    """The whole clear distance, wherever it lies now (m)."""
    return hotwork.clear_radius()


@checked(DISTANCE)
def short_added(distance: float) -> float:
    """Distances added (m)."""
    return hotwork.clear_radius() + distance
