"""Reading what revisions ask for, who has done it, and the page of a revision's questions."""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import DateField, DateTimeField, F, IntegerField, Value
from django.db.models.functions import Cast

from training.bank.queries import SheetQuestion
from training.bridges.models import Bridge
from training.bridges.rules import Act, Done, Duty, Progress, progress
from training.content.demands import Demand, Overdue
from training.people.models import Person
from training.people.rules import local_day
from training.prepared import Blank, Prepared
from training.procedures.models import Reading, Revision
from training.procedures.queries import demand_words

COLUMNS = ("says", "who", "slug", "revised", "named", "moment", "last", "effect", "ended")


@dataclass(frozen=True, slots=True)
class Duties:
    """All that revisions ask for, and what each of some people has done about it."""

    duties: tuple[Duty, ...]
    done: Mapping[int, Sequence[Done]]

    def of(self, person_id: int) -> tuple[Progress, ...]:
        """Return how far one of the people is with each duty."""
        return tuple(progress(duty, self.done.get(person_id, ())) for duty in self.duties)


def _asked() -> Any:
    """Return what revisions ask for and what some people did about it, in rows of the same columns."""
    asking = Revision.objects.filter(due_on__isnull=False)
    modules = asking.values("module")
    asks = asking.annotate(
        says=F("demand"),
        who=Cast(Value(None), IntegerField()),
        slug=F("module__slug"),
        revised=F("number"),
        named=F("title"),
        moment=F("loaded_at"),
        last=F("due_on"),
        effect=F("overdue"),
        ended=F("module__retired_at"),
    )
    some = {"person__among": Blank("people"), "revision__module__in": modules}
    read = _acts(Act.READ, "read_at").filter(**some)
    answered = _acts(Act.ANSWERED, "answered_at").filter(**some, answered_at__isnull=False)
    return asks.values_list(*COLUMNS).union(read.values_list(*COLUMNS), answered.values_list(*COLUMNS), all=True)


ASKED = Prepared(_asked)


def duties(person_ids: Collection[int]) -> Duties:
    """Return what revisions ask for and what these people did about it, in one query."""
    found: list[Duty] = []
    done: dict[int, list[Done]] = defaultdict(list)
    for says, who, slug, number, title, at, due_on, effect, ended_at in ASKED.rows(people=sorted(person_ids)):
        if who is None:
            found.append(
                Duty(
                    slug=slug,
                    title=title,
                    number=number,
                    landed_on=at.astimezone(UTC).date(),
                    due_on=due_on,
                    asks=says == Demand.ANSWER,
                    stops=effect == Overdue.STOPS,
                    ended_at=ended_at,
                )
            )
        else:
            done[who].append(Done(Act(says), slug, number, at))
    return Duties(tuple(sorted(found, key=lambda duty: (duty.due_on, duty.slug, duty.number))), done)


def _acts(act: Act, moment: str) -> Any:
    """Return readings or answers under the columns of what asked for them."""
    rows = Reading.objects.all() if act is Act.READ else Bridge.objects.all()
    return rows.annotate(
        says=Value(act.value),
        who=F("person_id"),
        slug=F("revision__module__slug"),
        revised=F("revision__number"),
        named=Value(""),
        moment=F(moment),
        last=Cast(Value(None), DateField()),
        effect=Value(""),
        ended=Cast(Value(None), DateTimeField()),
    )


@dataclass(frozen=True, slots=True)
class Page:
    """The questions of a revision for one person: not begun (turn 0), open, or answered."""

    slug: str
    title: str
    number: int
    language: str
    asked: str
    count: int
    turn: int
    questions: tuple[SheetQuestion, ...]
    answered_on: date | None
    is_read: bool


def page(revision: Revision, *, person: Person) -> Page:
    """Gather the page in two queries; what is sealed stays behind."""
    bridge = Bridge.objects.filter(person=person, revision=revision).first()
    read = Reading.objects.filter(
        person=person, revision__module=revision.module_id, revision__number__gte=revision.number
    )
    shown = [asked["shown"] for asked in bridge.asked] if bridge else []
    return Page(
        slug=revision.module.slug,
        title=revision.title,
        number=revision.number,
        language=revision.language,
        asked=demand_words(revision),
        count=len(revision.questions),
        turn=bridge.turn if bridge else 0,
        questions=tuple(SheetQuestion(place, one, {}) for place, one in enumerate(shown, start=1)),
        answered_on=local_day(bridge.answered_at, ZoneInfo(person.employer.zone))
        if bridge and bridge.answered_at
        else None,
        is_read=read.exists(),
    )
