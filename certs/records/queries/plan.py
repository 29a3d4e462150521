"""A person's refreshers to come, drawn beside the days of their cards."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from certs.cards.queries import CardFace, standings
from certs.cards.rules import Standing
from training.people.models import Person
from training.refreshers import rules
from training.refreshers.queries import Outlook, outlooks
from training.refreshers.rules import Memory
from training.trials.queries.pictures import Box, Picture, Scale, Stroke

BACK, AHEAD, MARGIN, FARTHEST = (timedelta(days=days) for days in (180, 366, 20, 1150))
OVER = frozenset({Standing.WITHDRAWN, Standing.REPLACED, Standing.LAPSED})
STEPS = 4
LOW = 50.0  # %: nearly every line runs above it, and from nothing up it would be flat


@dataclass(frozen=True, slots=True)
class Event:
    """A day of the plan: a refresher, or a day of a card; `percent` is what is likely to be remembered before it."""

    on: date
    words: str
    percent: int


@dataclass(frozen=True, slots=True)
class TopicPlan:
    """Topics that stand alike: their picture, and the same days as a table."""

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
    # A little beyond the last day, or its mark would be cut off by the edge.
    until = min(max([on + AHEAD, *(face.last_day + MARGIN for face in held)]), on + FARTHEST)
    days = [one for face in held for one in _card_days(face) if on <= one[0] <= until]
    # Topics that came with one paper and were worked alike since have one picture between them.
    alike: dict[tuple[Memory, ...], list[Outlook]] = defaultdict(list)
    for one in outlooks(person, on=on, until=until):
        alike[one.every].append(one)
    shown = tuple(
        _topics(f"plan-{number}", many, days, on=on, until=until) for number, many in enumerate(alike.values(), start=1)
    )
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


def _topics(
    name: str, alike: Sequence[Outlook], days: Sequence[tuple[date, str]], *, on: date, until: date
) -> TopicPlan:
    outlook, title = alike[0], "; ".join(one.topic.title for one in alike)
    drills = [(memory.last_on, _("Refresher")) for memory in outlook.ahead]
    events = tuple(
        Event(day, words, _percent(rules.recall_of(outlook.every, on=day))) for day, words in sorted([*drills, *days])
    )
    return TopicPlan(_picture(name, title, outlook, [day for day, _words in days], on=on, until=until), events)


def _picture(name: str, title: str, outlook: Outlook, days: Sequence[date], *, on: date, until: date) -> Picture:
    since = max(outlook.past[0].last_on, on - BACK)
    line = [((day - since).days, 100 * share) for day, share in rules.curve(outlook.every, since=since, until=until)]
    low = LOW if min(percent for _day, percent in line) >= LOW else 0
    box = Box(Scale(0, (until - since).days, STEPS), Scale(low, 100, 5))
    ticks = (since + (until - since) * step / STEPS for step in range(STEPS + 1))
    today = (on - since).days
    drills = [
        ((one.last_on - since).days, 100 * rules.recall_of(outlook.every, on=one.last_on)) for one in outlook.ahead
    ]
    # Along the lower edge, where the line does not run through them.
    cards = [((day - since).days, low + 3) for day in days]
    strokes = (
        Stroke("a", box.line(line), _("likely to be remembered")),
        Stroke("floor", box.level(100 * rules.RECALL), _("80 %: time to refresh it")),
        Stroke("b", box.line([(today, low), (today, 100)]), _("today")),
        Stroke("mark-a", "".join(box.mark(*place) for place in drills), _("refresher, on its day")),
        Stroke("mark-b", "".join(box.mark(*place) for place in cards), _("day of a card")),
    )
    return Picture(
        name=name,
        title=title,
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
