"""The page of one situation: every figure as text, with the sentence that explains it."""

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from math import ceil

from django.utils.translation import gettext as _

from training.calc.pack import Verdict
from training.questions.rounding import exact, written
from training.questions.units import from_si
from training.trials import rules
from training.trials.queries.grounds import Ground, assumptions, sources
from training.trials.queries.pictures import Picture, burn, cold
from training.trials.queries.typed import Situation, set_to, shown, situations
from training.trials.rules import START, Loop, Model, Outcome, Proof, Setting, Shot


@dataclass(frozen=True, slots=True)
class Row:
    """A named figure by both models; `first` ones are said at the head of the page as well."""

    name: str
    a: str
    b: str
    first: bool = False


@dataclass(frozen=True, slots=True)
class Part:
    """A part of the loop: its resistance in milliohms, and the volts it takes by both models."""

    name: str
    resistance: str
    a: str
    b: str


@dataclass(frozen=True, slots=True)
class Answer:
    """The verdict on the rest reading, not on the current: its look, its word, its reason, the figures behind it."""

    look: str
    word: str
    reason: str
    facts: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Page:
    """Everything the page shows; `change` says what became of the current against the starting values."""

    situations: tuple[Situation, ...]
    a: str
    b: str
    change: str
    minimum: str
    answer: Answer
    parts: tuple[Part, ...]
    loop_notes: tuple[str, ...]
    rows: tuple[Row, ...]
    outside: tuple[str, ...]
    pictures: tuple[Picture, ...]
    assumptions: tuple[Ground, ...]
    sources: tuple[Ground, ...]


JUDGED_FROM = {"rest_voltage", "meter_share", "meter_digits"}


def page(setting: Setting, *, refused: Collection[str] = ()) -> Page:
    """Work out one situation by both models; `refused` names the values that a starting one stands in for."""
    outcomes = a, b = tuple(rules.outcome(setting, model) for model in Model)
    loop = rules.loop(setting)
    return Page(
        situations=situations(),
        a=shown(a.current, "A", 0),
        b=shown(b.current, "A", 0),
        change=_change(outcomes),
        minimum=_minimum(outcomes),
        # A verdict on a reading that nobody took would be read as one on the pack in hand.
        answer=_not_judged() if JUDGED_FROM.intersection(refused) else _answer(setting, rules.proof(setting)),
        parts=_parts(setting, loop, outcomes),
        loop_notes=_loop_notes(setting, loop),
        rows=_rows(setting, outcomes),
        outside=tuple(_outside(one) for one in outcomes if one.shot is None),
        pictures=(cold(setting, outcomes), burn(setting, outcomes)),
        assumptions=assumptions(),
        sources=sources(),
    )


def _change(outcomes: Sequence[Outcome]) -> str:
    words = {}
    for one in outcomes:
        step = one.current - rules.current(START, one.model)
        words[one.model.value] = ("+" if step >= 0.5 else "") + shown(step, "A", 0)
    return _("Against the starting values: model A %(A)s, model B %(B)s.") % words


def _minimum(outcomes: Sequence[Outcome]) -> str:
    """Say which models keep the working minimum."""
    words = {"minimum": shown(rules.WORKING_MINIMUM, "A", 0)}
    below = [one.model for one in outcomes if one.current < rules.WORKING_MINIMUM]
    if not below:
        return _("Both models keep the working minimum of %(minimum)s, which is assumed.") % words
    if len(below) == len(outcomes):
        text = _("Both models are below the working minimum of %(minimum)s, which is assumed. Do not count on a bond.")
        return text % words
    words["model"] = below[0]
    text = _("Model %(model)s is below the working minimum of %(minimum)s, which is assumed; the other keeps it.")
    return text % words


def _outside(one: Outcome) -> str:
    words = {"model": one.model, "current": shown(one.current, "A", 0), "why": one.outside}
    return _("Model %(model)s gives %(current)s. Its other figures are left out: %(why)s") % words


def _not_judged() -> Answer:
    reason = _("The rest voltage or the figures of the meter could not be used. Put them right first.")
    return Answer("telephone", _("Pack voltage: not judged"), reason, ())


def _answer(setting: Setting, proof: Proof) -> Answer:
    words = {
        "reading": shown(setting.rest_voltage, "V", 2),
        "floor": shown(rules.FLOOR, "V", 2),
        "guard": shown(proof.guard, "V", 3),
        "go": shown(_first_shown(proof.go_from), "V", 2),
        "no_go": shown(_first_shown(proof.no_go_below), "V", 2),
    }
    look, word, reason = _verdicts()[proof.judgement.verdict]
    facts = [
        (_("Floor, at rest"), words["floor"]),
        (_("Guard band"), words["guard"]),
        (_("Chance that the pack is above the floor"), _share(proof.judgement.probability)),
    ]
    if proof.charge:
        band = _("between %(low)s and %(high)s of full") % {
            "low": shown(proof.charge.low, "%", 0),
            "high": shown(proof.charge.high, "%", 0),
        }
        facts.append((_("Charge that fits this reading"), band))
    return Answer(look, word, reason % words, tuple(facts))


def _first_shown(volts: float) -> float:
    """Return the first reading at or above a limit that a meter with two decimals shows: 38.25 for 38.2425."""
    return ceil(round(volts * 100, 6)) / 100


def _verdicts() -> dict[Verdict, tuple[str, str, str]]:
    """Return the look, word and reason of each verdict."""
    go = _(
        "%(reading)s is at or above %(go)s: the floor of %(floor)s plus the guard band of %(guard)s, rounded up. "
        "Even with what the meter may be out, the pack is above the floor."
    )
    unproven = _(
        "%(reading)s lies between %(no_go)s and %(go)s, nearer to the floor of %(floor)s than the guard band "
        "of %(guard)s. This meter cannot tell: let the pack rest and read again, charge it, or take a better meter."
    )
    no_go = _(
        "%(reading)s is below %(no_go)s: the floor of %(floor)s less the guard band of %(guard)s, rounded up. "
        "Charge the pack before the next shot."
    )
    return {
        Verdict.GO: ("accept", _("Pack voltage: go"), go),
        Verdict.UNPROVEN: ("telephone", _("Pack voltage: not proven"), unproven),
        Verdict.NO_GO: ("refuse", _("Pack voltage: no-go"), no_go),
    }


def _share(probability: float) -> str:
    """Return a probability in per cent; what rounds to all or nothing is said as a bound."""
    if probability > 0.999:
        return _("more than %(share)s") % {"share": shown(0.999, "%", 1)}
    if probability < 0.001:
        return _("less than %(share)s") % {"share": shown(0.001, "%", 1)}
    return shown(probability, "%", 1)


def _parts(setting: Setting, loop: Loop, outcomes: Sequence[Outcome]) -> tuple[Part, ...]:
    size = set_to("lead_area", setting.lead_area)
    both = _("Both leads, %(size)s") % {"size": size} if setting.leads else _("Leads, taken off")
    named = (
        (_("Pack, cells at their temperature"), loop.pack),
        (both, loop.leads),
        (_("Earth contact"), loop.earth),
        (_("Plugs, switch and other contacts"), loop.other),
        (_("Arc"), loop.arc),
    )
    drops = [[written(drop, 2) for drop in one.shot.drops] if one.shot else ["–"] * 5 for one in outcomes]
    parts = [
        Part(name, _milliohms(resistance), *volts) for (name, resistance), *volts in zip(named, *drops, strict=True)
    ]
    whole = [written(setting.rest_voltage, 2) if one.shot else "–" for one in outcomes]
    return (*parts, Part(_("Whole loop"), _milliohms(loop.whole), *whole))


def _milliohms(resistance: float) -> str:
    return written(from_si(exact(resistance), "mohm"), 2)


def _loop_notes(setting: Setting, loop: Loop) -> tuple[str, ...]:
    notes = [
        _("Model B gives the arc no resistance: there it takes %(volts)s at any current.")
        % {"volts": set_to("arc_voltage", setting.arc_voltage)},
        _("The cells at %(cell)s have %(ratio)s times the resistance they have at 20 °C.")
        % {"cell": set_to("cell_temperature", setting.cell_temperature), "ratio": written(loop.cold_ratio, 2)},
    ]
    even = rules.break_even(setting)
    if even is not None:
        text = _(
            "For this pack, taking off these leads pays for cold cells down to about %(cell)s. "
            "Colder than that the circuit has lost more than the leads give back: keep the pack warm."
        )
        notes.append(text % {"cell": shown(even, "degC", 0)})
    return tuple(notes)


def _rows(setting: Setting, outcomes: Sequence[Outcome]) -> tuple[Row, ...]:
    never = _("never")

    def row(name: str, says: Callable[[Shot], str], *, first: bool = False) -> Row:
        a, b = (says(one.shot) if one.shot else "–" for one in outcomes)
        return Row(name, a, b, first)

    def time(says: Callable[[Shot], float]) -> Callable[[Shot], str]:
        return lambda shot: shown(says(shot), "s", 2) if shot.melts else never

    words = {"wire": set_to("wire_area", setting.wire_area), "time": set_to("burn_time", setting.burn_time)}
    return (
        Row(_("Current"), *(shown(one.current, "A", 1) for one in outcomes)),
        row(_("Voltage of the pack during the shot"), lambda shot: shown(shot.loaded_voltage, "V", 1)),
        row(_("Copper wire of %(wire)s begins to melt after") % words, time(lambda shot: shot.burn.begins), first=True),
        row(_("It has melted through after") % words, time(lambda shot: shot.burn.through)),
        row(_("Copper that melts in %(time)s, Onderdonk") % words, lambda shot: shown(shot.area, "mm2", 2)),
        row(_("The same, adiabatic form"), lambda shot: shown(shot.adiabatic_area, "mm2", 2)),
        row(_("Charge of one shot of %(time)s") % words, lambda shot: shown(shot.charge, "Ah", 4), first=True),
        row(_("Energy of one shot"), lambda shot: shown(shot.energy, "kJ", 1), first=True),
        row(_("Shots in a full pack"), lambda shot: str(shot.full)),
        row(_("Shots left after %(fired)d fired") % {"fired": setting.fired}, lambda shot: str(shot.left), first=True),
        row(_("Heat in the earth contact during the shot"), lambda shot: shown(shot.earth_heat, "W", 0)),
    )
