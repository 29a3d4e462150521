"""A person's refreshers to come, drawn beside the days of their cards."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from certs.cards.queries import CardFace, standings
from certs.cards.rules import Standing
from training.people.models import Person
from training.refreshers import rules
from training.refreshers.queries import Outlook, outlooks
from training.trials.queries.pictures import Box, Picture, Scale, Stroke

BACK, AHEAD, FARTHEST = timedelta(days=180), timedelta(days=366), timedelta(days=1130)
OVER = frozenset({Standing.WITHDRAWN, Standing.REPLACED, Standing.LAPSED})
STEPS = 4


@dataclass(frozen=True, slots=True)
class Event:
    """A day of the plan: a refresher, or a day of a card; `percent` is what is likely to be remembered before it."""

    on: date
    words: str
    percent: int


@dataclass(frozen=True, slots=True)
class TopicPlan:
    """One topic: its picture, and the same days as a table."""

    picture: Picture
    events: tuple[Event, ...]


@dataclass(frozen=True, slots=True)
class Plan:
    """The plans of the topics that have begun; `percent` is where a refresher is due."""

    topics: tuple[TopicPlan, ...]
    percent: int
    longest_days: int


def plan(person: Person, *, on: date) -> Plan:
    """Gather the plan to the end of the last card, at least a year and at most three ahead, in five queries."""
    held = [face for face in standings([person.pk], on=on).values() if face.standing not in OVER]
    until = max([on + AHEAD, *(face.last_day for face in held)])
    until = min(until, on + FARTHEST)
    days = [one for face in held for one in _card_days(face) if on <= one[0] <= until]
    begun = outlooks(person, on=on, until=until)
    shown = tuple(_topic(number, one, days, on=on, until=until) for number, one in enumerate(begun, start=1))
    return Plan(shown, _percent(rules.RECALL), rules.LONGEST_DAYS)


def _card_days(face: CardFace) -> list[tuple[date, str]]:
    facts = {"scheme": face.scheme}
    days = [
        (face.renew_from, _("Renewal opens: %(scheme)s") % facts),
        (face.last_day, _("Last day of the card: %(scheme)s") % facts),
    ]
    if face.confirmed_to < face.last_day:
        days.append((face.confirmed_to, _("Work to be confirmed by: %(scheme)s") % facts))
    return days


def _percent(share: float) -> int:
    return round(100 * share)


def _topic(number: int, outlook: Outlook, days: Sequence[tuple[date, str]], *, on: date, until: date) -> TopicPlan:
    drills = [(memory.last_on, _("Refresher")) for memory in outlook.ahead]
    events = tuple(
        Event(day, words, _percent(rules.recall_of(outlook.every, on=day))) for day, words in sorted([*drills, *days])
    )
    return TopicPlan(_picture(number, outlook, [day for day, _words in days], on=on, until=until), events)


def _picture(number: int, outlook: Outlook, days: Sequence[date], *, on: date, until: date) -> Picture:
    since = max(outlook.past[0].last_on, on - BACK)
    box = Box(Scale(0, (until - since).days, STEPS), Scale(0, 100, 5))
    line = rules.curve(outlook.every, since=since, until=until)
    ticks = (since + (until - since) * step / STEPS for step in range(STEPS + 1))
    today = (on - since).days
    drills = [one.last_on for one in outlook.ahead]
    strokes = (
        Stroke("a", box.line(_place(day, share, since) for day, share in line), _("likely to be remembered")),
        Stroke("floor", box.level(100 * rules.RECALL), _("80 %: time to refresh it")),
        Stroke("b", box.line([(today, 0), (today, 100)]), _("today")),
        Stroke(
            "mark-a", _marks(box, outlook, drills, since), _("refresher, on its day")
        ),
        Stroke("mark-b", _marks(box, outlook, days, since), _("day of a card")),
    )
    return Picture(
        name=f"topic-{number}",
        title=outlook.topic.title,
        desc=_("The line falls from one refresher to the next. The same days stand in the table."),
        upright=_("Likely to be remembered, %"),
        along=_("Day"),
        upright_ticks=tuple(reversed(box.y.ticks())),
        along_ticks=tuple(date_format(day, "M Y") for day in ticks),
        grid=box.grid(),
        strokes=tuple(stroke for stroke in strokes if stroke.path),
        notes=(),
        heads=(),
        rows=(),
    )


def _marks(box: Box, outlook: Outlook, days: Iterable[date], since: date) -> str:
    return "".join(box.mark(*_place(day, rules.recall_of(outlook.every, on=day), since)) for day in days)


def _place(day: date, share: float, since: date) -> tuple[float, float]:
    return (day - since).days, 100 * share
