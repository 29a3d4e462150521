"""What a day takes, in words: every figure with its unit and with where it comes from."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from certs.jobs.rules import Kit, Need
from training.calc.catalogue import CATALOGUE
from training.questions.rounding import written

# Nothing here is known so well that it could be called certain.
MOST_SURE = 99.9


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure of the day with its unit and its source."""

    says: str
    value: str
    unit: str
    source: str


def figures(kit: Kit, need: Need) -> tuple[Figure, ...]:
    """Return what a day takes, figure by figure."""
    percent = f"{100 * kit.confidence:g}"
    sure = 100 * need.packs_hold
    found = [
        Figure(_("Shots on average"), written(need.shots_mean, 0), "", _source("day.shots_mean")),
        Figure(
            _("Shots, enough on %(percent)s days of 100") % {"percent": percent},
            str(need.shots), "", _source("day.shots_enough"),
        ),
        Figure(_("Shots in a charged pack"), str(need.per_charge), "", _source("charge.shots_full")),
        Figure(_("Charged packs"), str(need.packs), "", _source("day.packs_enough")),
        Figure(
            _("How sure these packs are to be enough"),
            written(sure, 1) if sure < MOST_SURE else _("over 99.9"), "%", _source("day.enough_probability"),
        ),
        Figure(_("Time to charge one emptied pack"), written(need.charge_hours, 1), "h", _source("charge.charge_time")),
        Figure(
            _("Chargers, to have all packs full again in %(hours)s h") % {"hours": f"{kit.charging_hours:g}"},
            str(need.chargers), "", _("one pack after the other on each charger; computed"),
        ),
    ]  # fmt: skip
    if kit.cells is not None:
        found[2:2] = [
            Figure(
                _("Current of a shot with cold cells"), written(need.current, 0), "A",
                _source("circuit.added_resistance_current_arc_voltage"),
            ),
            Figure(_("Time of a shot with cold cells"), written(need.shot_time, 2), "s", _source("fuse.time_ratio")),
        ]  # fmt: skip
    return tuple(found)


def _source(key: str) -> str:
    entry = CATALOGUE[key]
    return f"{entry.source}; {entry.tag}"


def cautions(kit: Kit, need: Need, *, cold: bool, night: bool) -> tuple[str, ...]:
    """Return what the figures do not say and has to be heeded."""
    found = [
        _(
            "Repeats are taken as independent of one another. A bad earth or a cold pack makes them run together: then"
            " these figures are too hopeful. Count shots, not volts."
        )
    ]
    if need.charge_hours > kit.charging_hours:
        found.append(
            _("The time off the track does not fill a pack that was emptied. Take more packs, or charge for longer.")
        )
    if cold:
        found += [
            _(
                "Keep the packs warm: it is the temperature of the cells that counts, not that of the air. The figures"
                " for cold cells come of one small cell and an arc taken as 22 V; a pack may do worse."
            ),
            _("Lithium packs are not charged while their cells are below 0 °C: charge them in the warm."),
        ]
    if night:
        found.append(
            _(
                "Night changes none of these figures. Light the place, let eyes that met the arc get used to the dark"
                " again, and keep everybody else's eyes off it."
            )
        )
    return tuple(found)
