"""A gap plan in words, as its page shows it. Reads nothing: everything is handed in."""

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any
from urllib.parse import urlencode

from django.urls import reverse
from django.utils.formats import date_format
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from certs.crewing.queries import open_words
from certs.gaps.rules import Bound, Call, GapPlan, Visit
from certs.gaps.rules.ways import DAY, DECIDING, NOTICE, PAPER, READING, TRAINER
from certs.jobs.rules import AcceptedPlan, ranges
from certs.records.rules import Step
from certs.visits.models import Visit as Arranged

# Names in a sentence; the plan has them all.
NAMED = 6

BEFORE: Mapping[Step, str | Promise] = {
    Step.READ: gettext_lazy("reads the procedures"),
    Step.SIT: gettext_lazy("sits the paper"),
}
ALONE: Mapping[Step, str | Promise] = {
    Step.CONFIRM: gettext_lazy("have the work confirmed"),
    Step.READ_CHANGED: gettext_lazy("read the changed procedure and answer its questions"),
    Step.ANSWER: gettext_lazy("answer the questions about the changed procedure"),
}


@dataclass(frozen=True, slots=True)
class Candidate:
    """A person a trainer comes for, with what is to be done before and at the visit."""

    pk: int
    name: str
    before: str


@dataclass(frozen=True, slots=True)
class VisitRow:
    """A visit of the plan; `arranged` is one asked for already, else `ask` is where to ask for it."""

    on: date
    scheme: str
    people: tuple[Candidate, ...]
    trainer: str
    ask: str
    arranged: Arranged | None


@dataclass(frozen=True, slots=True)
class AloneRow:
    """What somebody does without a trainer."""

    pk: int
    name: str
    scheme: str
    what: str


@dataclass(frozen=True, slots=True)
class Page:
    """A gap plan in words; `source` says what was assumed, and `unseen` names schemes nobody may assess under."""

    employer: str
    first: date
    until: date
    jobs: int
    before: int
    after: int
    visits: tuple[VisitRow, ...]
    alone: tuple[AloneRow, ...]
    short: tuple[str, ...]
    unseen: tuple[str, ...]
    bound: tuple[str, ...]
    plans: tuple[AcceptedPlan, ...]
    trainer: str
    person: str
    proven: bool
    sure: bool
    left_out: int
    source: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Words:
    """Names by key of the hand, what jobs are called by key, and titles by scheme.

    Under the schemes of `watched` somebody has to confirm who sits the paper, so it is sat at the visit.
    """

    names: Mapping[str, str]
    jobs: Mapping[str, str]
    titles: Mapping[str, str]
    watched: Collection[str]


Arrangements = Mapping[tuple[str, str], Arranged]  # by person and scheme


def told(
    found: GapPlan, bound: Sequence[Bound], words: Words, arranged: Arrangements, unseen: Collection[str]
) -> dict[str, Any]:
    """Return what the page says of a plan, of those who are `bound` elsewhere, and of schemes without an assessor."""
    return {
        "before": found.before,
        "after": found.missing,
        "visits": tuple(_visit(one, words, arranged) for one in found.visits),
        "alone": tuple(_alone(one, words) for one in found.alone),
        "short": open_words(found.short, words.jobs, words.titles),
        "unseen": tuple(sorted(words.titles.get(slug, slug) for slug in unseen)),
        "bound": tuple(_bound(bound, words)),
        "plans": tuple(dict.fromkeys(one.plan for one in bound)),
        "trainer": _days(found.trainer),
        "person": _days(found.person),
        "proven": found.proven,
        "sure": found.sure,
        "source": _source(),
    }


def _bound(bound: Sequence[Bound], words: Words) -> Iterator[str]:
    """Say, once for days on end, who could go and where an accepted plan has them instead."""
    spells: dict[tuple[str, str, tuple[str, ...]], list[date]] = defaultdict(list)
    for one in bound:
        spells[one.job, one.at, one.hands].append(one.on)
    told = sorted((*spell, job, at, hands) for (job, at, hands), days in spells.items() for spell in ranges(days))
    for first, last, job, at, hands in told:
        facts = {"job": words.jobs[job], "at": at, "names": _several([words.names[key] for key in hands])}
        facts |= {"day": date_format(first), "until": date_format(last)}
        if first == last:
            yield _("%(day)s, %(job)s: %(names)s could go, but an accepted plan has them at %(at)s.") % facts
        else:
            yield (
                _("%(day)s to %(until)s, %(job)s: %(names)s could go, but an accepted plan has them at %(at)s.") % facts
            )


def _several(names: Sequence[str]) -> str:
    """Write names one after the other, and count those beyond the first few."""
    if len(names) <= NAMED:
        return ", ".join(names)
    words = ngettext("%(names)s and %(number)d more", "%(names)s and %(number)d more", len(names) - NAMED)
    return words % {"names": ", ".join(names[:NAMED]), "number": len(names) - NAMED}


def _days(number: Decimal) -> str:
    """Write days of work as they are, a quarter being one: 0.75, 1, 10."""
    return f"{number.normalize():f}"


def _visit(visit: Visit, words: Words, arranged: Arrangements) -> VisitRow:
    query = [("scheme", visit.scheme), ("on", visit.on.isoformat())]
    query += [("person", call.way.hand) for call in visit.calls]
    known = (arranged.get((call.way.hand, visit.scheme)) for call in visit.calls if call.way.arranged)
    return VisitRow(
        on=visit.on,
        scheme=words.titles.get(visit.scheme, visit.scheme),
        people=tuple(
            Candidate(int(call.way.hand), words.names[call.way.hand], _todo(call, words)) for call in visit.calls
        ),
        trainer=_days(visit.trainer),
        ask=f"{reverse('visits:ask')}?{urlencode(query)}",
        arranged=next((one for one in known if one is not None), None),
    )


def _todo(call: Call, words: Words) -> str:
    """Say what is done before the visit, and by when, and which paper is sat at it."""
    there = [step for step in call.way.steps if step is Step.SIT and call.way.scheme in words.watched]
    todo = [str(BEFORE[step]) for step in call.way.steps if step in BEFORE and step not in there]
    facts = {"what": _(" and ").join(todo), "day": date_format(call.on - DAY)}
    told = [_("%(what)s by %(day)s") % facts] if todo else [] if there else [_("nothing to do before")]
    return ", ".join([*told, *(_("sits the paper at the visit") for _step in there)])


def _alone(call: Call, words: Words) -> AloneRow:
    way = call.way
    what = " ".join(str(ALONE[step]) for step in way.steps)
    return AloneRow(int(way.hand), words.names[way.hand], words.titles.get(way.scheme, way.scheme), what)


def _source() -> tuple[str, ...]:
    facts = {"reading": _days(READING), "paper": _days(PAPER), "trainer": _days(TRAINER)}
    return (
        _(
            "Taken as it stands today: cards, days away, who reads and who has passed. Anyone of the employer may go to"
            " a job, whatever crew it names."
        ),
        _(
            "Whom an accepted crewing plan places at a job keeps that place, and is free for no other job and no visit"
            " that day."
        ),
        _(
            "Days of work: %(reading)s for reading, %(paper)s for the paper, %(trainer)s with a trainer where the"
            " scheme states no duration (common practice, no source)."
        )
        % facts,
        _(
            "A trainer comes for one scheme a day, on no day for which they are asked elsewhere or have declined, and"
            " to nobody they trained too lately to assess. Who of several can come is answered when they are asked."
        ),
        _("A trainer is asked at least %(days)d days ahead (common practice, no source).") % {"days": NOTICE},
        _("Where somebody else decides about the card, %(days)d days are left for that (common practice, no source).")
        % {"days": DECIDING},
    )
