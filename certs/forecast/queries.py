"""Reading what lies ahead of these people's cards."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db.models import Count, F, Q, QuerySet
from django.utils.formats import date_format
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from certs.board.queries import Asked, everyone, recall, remember, whom
from certs.cards.models import Card, CardQuerySet
from certs.forecast import rules
from certs.forecast.rules import Spell
from certs.schemes.models import SchemeIssue
from certs.schemes.queries import current_issues, spec
from training.content.schemes import Unconfirmed
from training.people.models import CrewMembership, Person
from training.questions.rounding import written

# The picture: bars above a base line, in units of its view box.
WIDTH, HEIGHT, GAP = 100.0, 28.0, 0.2
QUARTERS = (1, 4, 7, 10)
MOST_CREWS = 60


@dataclass(frozen=True, slots=True)
class Week:
    """A week in which something falls due: its Monday in words, cards that end, and work to be confirmed."""

    words: str
    ending: int
    confirming: int


@dataclass(frozen=True, slots=True)
class Bar:
    """A rectangle of the picture."""

    x: str
    y: str
    width: str
    height: str


@dataclass(frozen=True, slots=True)
class Mark:
    """Where a month begins, from the left in hundredths of the picture; named where a half year or a quarter does."""

    x: str
    words: str
    is_half: bool


@dataclass(frozen=True, slots=True)
class Outlook:
    """What lies ahead under one scheme. Without a duration of the scheme, `cost` is empty."""

    slug: str
    title: str
    weeks: tuple[Week, ...]
    ending: int
    confirming: int
    most: int
    ending_bars: tuple[Bar, ...]
    confirming_bars: tuple[Bar, ...]
    each: str
    cost: str


@dataclass(frozen=True, slots=True)
class CrewAhead:
    """A crew: how many may work on the first day, cards that end, and the days with nobody left.

    `site` is where it goes out from, empty where none is known. `unrenewed` holds if work is confirmed
    in time and no card is renewed, `unconfirmed` if no work is confirmed either.
    """

    employer: str
    name: str
    site: str
    may_work: int
    ending: int
    unrenewed: tuple[str, ...]
    unconfirmed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Forecast:
    """The page, from a day to the horizon.

    `cost` is empty where no scheme states a duration, `uncosted` says that one does not. `crews` is None where an
    employer or a crew is to be chosen first. Without `counted_at` it was counted for this very page.
    """

    on: date
    until: date
    months: tuple[Mark, ...]
    schemes: tuple[Outlook, ...]
    crews: tuple[CrewAhead, ...] | None
    ending: int
    cost: str
    uncosted: bool
    counted_at: datetime | None


def forecast(people: QuerySet[Person], asked: Asked, *, across: bool, at: datetime) -> Forecast:
    """Return what lies ahead of the cards that may be worked under on the day, as if none were renewed.

    Over all employers it is counted anew only after a while: an industry takes seconds.
    """
    if not across or asked.employer is not None or asked.terms.crews:
        return _forecast(people, asked, narrowed=True, counted_at=None)
    said = f"forecast {whom(people)} {asked.said} {get_language()}"
    kept: Forecast | None = recall(said, at=at)
    if kept is not None:
        return kept
    made = _forecast(people, asked, narrowed=False, counted_at=at)
    remember(said, made)
    return made


def _forecast(people: QuerySet[Person], asked: Asked, *, narrowed: bool, counted_at: datetime | None) -> Forecast:
    last = rules.horizon(asked.on)
    every = everyone(people, asked.terms)
    held = Card.objects.newest_on(asked.on).valid_on(asked.on).filter(person__in=every)
    if asked.scheme is not None:
        held = held.filter(scheme=asked.scheme)
    ending = _days(held.filter(last_day__lte=last), "last_day")
    confirming = _days(_to_confirm(held, asked.on).filter(confirmed_to__lte=last), "confirmed_to")
    issues = [one for one in current_issues() if asked.scheme is None or one.scheme_id == asked.scheme.pk]
    schemes = tuple(_outlook(one, ending[one.scheme_id], confirming[one.scheme_id], asked.on, last) for one in issues)
    costs = [
        rules.trainer_days(one.ending, spec(issue).trainer_days) for one, issue in zip(schemes, issues, strict=True)
    ]
    return Forecast(
        on=asked.on,
        until=last,
        months=_months(asked.on, last),
        schemes=schemes,
        crews=_crews(every, held, asked, last) if narrowed else None,
        ending=sum(one.ending for one in schemes),
        cost=_shown(_sum(costs)),
        uncosted=any(one is None for one in costs),
        counted_at=counted_at,
    )


def _to_confirm(held: CardQuerySet, on: date) -> CardQuerySet:
    # A card that ends no later needs no more confirmation; one overdue that merely warns is not ahead.
    return held.confirmed_to_on(on).filter(confirmed_to__lt=F("last_day"), confirmed_to__gte=on)


def _days(cards: CardQuerySet, field: str) -> dict[int, dict[date, int]]:
    """Count cards by scheme and day."""
    found: dict[int, dict[date, int]] = defaultdict(dict)
    for scheme, day, many in (
        cards.values("scheme", field).annotate(many=Count("pk")).values_list("scheme", field, "many")
    ):
        found[scheme][day] = many
    return found


def _outlook(
    issue: SchemeIssue, ending: Mapping[date, int], confirming: Mapping[date, int], on: date, last: date
) -> Outlook:
    mondays = rules.weeks(on, last)
    ends, confirms = rules.by_week(ending, mondays), rules.by_week(confirming, mondays)
    most = max(*ends, *confirms, 1)
    each = spec(issue).trainer_days
    cost = rules.trainer_days(sum(ends), each)
    return Outlook(
        slug=issue.scheme.slug,
        title=issue.title,
        weeks=tuple(
            Week(date_format(monday), *counts)
            for monday, *counts in zip(mondays, ends, confirms, strict=True)
            if any(counts)
        ),
        ending=sum(ends),
        confirming=sum(confirms),
        most=most,
        ending_bars=_bars(ends, most, side=0),
        confirming_bars=_bars(confirms, most, side=1),
        each=_shown(each),
        cost=_shown(cost),
    )


def _sum(costs: Sequence[Decimal | None]) -> Decimal | None:
    known = [one for one in costs if one is not None]
    return sum(known, Decimal(0)) if known else None


def _shown(days: Decimal | None) -> str:
    return "" if days is None else written(days, 1)


def _months(on: date, last: date) -> tuple[Mark, ...]:
    """Mark the months where their first day stands among the weeks."""
    mondays = rules.weeks(on, last)
    marks = []
    for day in rules.month_firsts(mondays[0], last):
        words = date_format(day, "M Y") if day.month in QUARTERS else ""
        place = (day - mondays[0]).days / (7 * len(mondays))
        marks.append(Mark(f"{WIDTH * place:.2f}", words, day.month in QUARTERS[::2]))
    return tuple(marks)


def _bars(counts: Sequence[int], most: int, *, side: int) -> tuple[Bar, ...]:
    """Lay the counts of the weeks out from left to right, two narrow bars a week, the tallest as high as the plot."""
    step = WIDTH / len(counts)
    width = step / 2 - GAP
    laid = []
    for place, count in enumerate(counts):
        if count:
            height = HEIGHT * count / most
            laid.append(
                Bar(f"{(place + side / 2) * step:.2f}", f"{HEIGHT - height:.2f}", f"{width:.2f}", f"{height:.2f}")
            )
    return tuple(laid)


@dataclass(frozen=True, slots=True)
class _Held:
    person: int
    last_day: date
    stops_on: date


def _crews(every: QuerySet[Person], held: CardQuerySet, asked: Asked, last: date) -> tuple[CrewAhead, ...]:
    """Follow each crew day by day: who is in it, and whose card may be worked under."""
    rows = held.confirmed_to_on(asked.on).values_list("person", "last_day", "confirmed_to", "unconfirmed")
    cards: dict[int, list[_Held]] = defaultdict(list)
    for person, last_day, confirmed_to, unconfirmed in rows:
        stops_on = min(last_day, confirmed_to) if unconfirmed == Unconfirmed.STOPS else last_day
        cards[person].append(_Held(person, last_day, stops_on))
    members = CrewMembership.objects.filter(person__in=every, from_on__lte=last)
    members = members.filter(Q(until_on__isnull=True) | Q(until_on__gte=asked.on))
    members = members.filter(**asked.terms.crews)
    crews: dict[tuple[str, str, str], list[tuple[int, Spell]]] = defaultdict(list)
    for employer, crew, site, person, from_on, until_on in members.order_by(
        "crew__employer__name", "crew__name"
    ).values_list("crew__employer__name", "crew__name", "crew__site__name", "person", "from_on", "until_on"):
        in_crew = Spell(max(from_on, asked.on), min(until_on or last, last))
        crews[employer, crew, site or ""].append((person, in_crew))
    return tuple(_crew(named, times, cards, asked.on, last) for named, times in [*crews.items()][:MOST_CREWS])


def _crew(
    named: tuple[str, str, str],
    times: Sequence[tuple[int, Spell]],
    cards: Mapping[int, list[_Held]],
    on: date,
    last: date,
) -> CrewAhead:
    held = [(spell, card) for person, spell in times for card in cards.get(person, ())]
    return CrewAhead(
        employer=named[0],
        name=named[1],
        site=named[2],
        may_work=len({card.person for spell, card in held if spell.from_on <= on}),
        ending=sum(card.last_day <= last for _spell, card in held),
        unrenewed=_gaps((Spell(spell.from_on, min(spell.until_on, card.last_day)) for spell, card in held), on, last),
        unconfirmed=_gaps((Spell(spell.from_on, min(spell.until_on, card.stops_on)) for spell, card in held), on, last),
    )


def _gaps(spells: Iterable[Spell], on: date, last: date) -> tuple[str, ...]:
    """Say on which days nobody is left; a spell that ends before it begins covers none."""
    covered = [spell for spell in spells if spell.from_on <= spell.until_on]
    return tuple(
        (_("from %(day)s on") if gap.until_on == last else _("%(day)s to %(until)s"))
        % {"day": date_format(gap.from_on), "until": date_format(gap.until_on)}
        for gap in rules.uncovered(covered, first=on, last=last)
    )
