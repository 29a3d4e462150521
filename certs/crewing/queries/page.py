"""A plan as its page shows it: day by day, person by person, what is open, and what no longer holds."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet
from django.utils.translation import gettext as _

from certs.crewing.models import Plan
from certs.crewing.queries.inputs import RULES, Inputs, inputs_of, turns_of
from certs.crewing.queries.words import fault_words, first_of_runs, open_words, spells
from certs.crewing.rules import COVER, Rule, Shortage, Turn, Wishes, check, cost, shortages
from certs.crewing.rules.plan import wanted
from certs.jobs.models import Job
from certs.jobs.rules import days
from certs.schemes.queries import current_issues


@dataclass(frozen=True, slots=True)
class Seat:
    """A place of a day, and who has it: an empty name for nobody. `number` tells places of a kind apart."""

    job: str
    scheme: str
    what: str
    person: str
    name: str
    by_hand: bool


@dataclass(frozen=True, slots=True)
class JobDay:
    """A job on a day with its places."""

    job: str
    reference: str
    place: str
    seats: tuple[Seat, ...]


@dataclass(frozen=True, slots=True)
class Day:
    """A day with its jobs."""

    on: date
    jobs: tuple[JobDay, ...]


@dataclass(frozen=True, slots=True)
class Someone:
    """A person with the days they are sent out, in words by job."""

    name: str
    days: int
    jobs: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Shown:
    """A plan. `faults` are rules it breaks as things stand now, `changed` says that what it was made from has moved."""

    plan: Plan
    days: tuple[Day, ...]
    people: tuple[Someone, ...]
    open: tuple[str, ...]
    faults: tuple[str, ...]
    changed: bool
    wishes: Wishes
    places: int
    filled: int


def index(plans: QuerySet[Plan]) -> list[Plan]:
    """Return the newest plans, in one query."""
    return list(plans.select_related("employer", "by").order_by("-asked_at")[:40])


def titles() -> dict[str, str]:
    """Return the titles of the schemes in use, by slug."""
    return {issue.scheme.slug: issue.title for issue in current_issues()}


def shown(plan: Plan) -> Shown:
    """Return a plan as it stands, judged by what is known now."""
    known, turns, words = inputs_of(plan), turns_of(plan), titles()
    references = _references(known, turns)
    hand = {(row.on, row.person_id) for row in plan.turns.all() if row.by_hand}
    faults = check(turns, known.jobs, known.hands, rules=RULES)
    broken = {(fault.day, fault.hand) for fault in faults if fault.rule is Rule.KNOWN}
    standing = [turn for turn in turns if (turn.day, turn.hand) not in broken]
    short = [_blocked(one, plan.blocked) for one in shortages(standing, known.jobs)]
    return Shown(
        plan=plan,
        days=_days(known, turns, references, words, hand),
        people=_people(known, turns, references),
        open=open_words(short, known.called, words) if plan.is_made else (),
        faults=tuple(fault_words(fault, known.called, known.hands, words) for fault in first_of_runs(faults)),
        changed=known.mark != plan.mark,
        wishes=cost(standing, known.jobs, known.hands, rules=RULES),
        places=sum(len(days(job)) * sum(holders for _scheme, holders in wanted(job)) for job in known.jobs),
        filled=len(standing),
    )


def key_of(short: Shortage) -> str:
    """Return how a plan names a place left open."""
    return f"{short.day} {short.job} {short.scheme}"


def _blocked(short: Shortage, blocked: Mapping[str, list[str]]) -> Shortage:
    without = tuple(Rule(name) for name in blocked.get(key_of(short), ()))
    return Shortage(short.day, short.job, short.scheme, short.missing, without)


def _references(known: Inputs, turns: tuple[Turn, ...]) -> dict[str, str]:
    keys = {job.key for job in known.jobs} | {turn.job for turn in turns}
    return {str(pk): name for pk, name in Job.objects.filter(pk__in=keys).values_list("pk", "reference")}


def _days(
    known: Inputs,
    turns: tuple[Turn, ...],
    references: Mapping[str, str],
    words: Mapping[str, str],
    hand: set[tuple[date, int]],
) -> tuple[Day, ...]:
    names = {one.key: one.name for one in known.hands}
    there: dict[tuple[date, str, str], list[Seat]] = defaultdict(list)
    for turn in turns:
        what = _("Supervisor") if turn.scheme == COVER else words.get(turn.scheme, turn.scheme)
        name, by_hand = names.get(turn.hand, _("somebody who has left")), (turn.day, int(turn.hand)) in hand
        there[turn.day, turn.job, turn.scheme].append(Seat(turn.job, turn.scheme, what, turn.hand, name, by_hand))
    made: dict[date, list[JobDay]] = defaultdict(list)
    for job in known.jobs:
        for on in days(job):
            seats: list[Seat] = []
            for scheme, holders in wanted(job):
                what = _("Supervisor") if scheme == COVER else words.get(scheme, scheme)
                taken = there[on, job.key, scheme]
                seats += [*taken, *[Seat(job.key, scheme, what, "", "", False)] * (holders - len(taken))]
            made[on].append(JobDay(job.key, references[job.key], job.place, tuple(seats)))
    return tuple(Day(on, tuple(made[on])) for on in sorted(made))


def _people(known: Inputs, turns: tuple[Turn, ...], references: Mapping[str, str]) -> tuple[Someone, ...]:
    theirs: dict[str, dict[str, list[date]]] = defaultdict(lambda: defaultdict(list))
    for turn in turns:
        theirs[turn.hand][turn.job].append(turn.day)
    return tuple(
        Someone(
            one.name,
            sum(len(found) for found in theirs[one.key].values()),
            tuple((references[job], spells(found)) for job, found in theirs[one.key].items()),
        )
        for one in known.hands
    )
