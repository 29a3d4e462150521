"""Reading schemes: their current issue, what it asks for, and who may act under it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.db.models import OuterRef, QuerySet, Subquery
from django.utils.translation import gettext as _

from certs.schemes.models import ACT_WORDS, Authority, Scheme, SchemeIssue, TrainingAct
from certs.schemes.rules import Act
from training.content.practicals import CheckSpec
from training.content.schemes import Decided, LastDay, SchemeSpec, Unconfirmed
from training.people.models import Person, RoleHeld
from training.people.rules import Role
from training.people.rules import in_force as holds_on
from training.procedures.queries import in_force
from training.quizzes.models import PaperIssue

# Content keeps its own keys in the body of an issue; the checks of its practical stand beside them.
CHECKS = "checks"


def current_issues() -> QuerySet[SchemeIssue]:
    """Return the newest issue of each scheme in use, by title."""
    newest = SchemeIssue.objects.filter(scheme=OuterRef("scheme")).order_by("-number").values("pk")[:1]
    return (
        SchemeIssue.objects.filter(scheme__retired_at=None, pk=Subquery(newest))
        .select_related("scheme")
        .order_by("title", "pk")
    )


def current_issue(slug: str) -> SchemeIssue:
    """Return the newest issue of a scheme; raises SchemeIssue.DoesNotExist where there is none."""
    issue = SchemeIssue.objects.filter(scheme__slug=slug).select_related("scheme").order_by("-number").first()
    if issue is None:
        raise SchemeIssue.DoesNotExist(slug)
    return issue


def spec(issue: SchemeIssue) -> SchemeSpec:
    """Return what an issue asks for, as it was loaded."""
    body: dict[str, Any] = {name: value for name, value in issue.body.items() if name != CHECKS}
    body |= {name: tuple(body[name]) for name in ("modules", "practical")}
    exact = ("joint_limit", "meter_percent", "pack_floor", "joint_percent", "current_percent", "trainer_days")
    # Issues loaded before a figure was asked for lack it, and get its default.
    body |= {name: Decimal(body[name]) for name in exact if name in body}
    return SchemeSpec(
        **body
        | {
            "unconfirmed": Unconfirmed(body["unconfirmed"]),
            "last_day": LastDay(body["last_day"]),
            "decision": Decided(body["decision"]),
            "practical_share": Fraction(body["practical_share"]),
        }
    )


def checks(issue: SchemeIssue) -> tuple[CheckSpec, ...]:
    """Return the checks of an issue's practical, in the order of its modules."""
    return tuple(CheckSpec(**check) for check in issue.body[CHECKS])


def steps_watched() -> Iterator[tuple[str, str]]:
    """Yield each step that a check of a practical in use names, as "module.step", with the scheme's title."""
    for issue in current_issues():
        for step in sorted({check.step for check in checks(issue)}):
            yield step, _("the practical of %(scheme)s") % {"scheme": issue.title}


def may(person: Person, scheme: Scheme, act: Act, on: date) -> bool:
    """Say whether a person holds a permission under a scheme on a day."""
    held = Authority.objects.in_force_on(on).filter(person=person, scheme=scheme, act=act)
    return person.is_active and held.exists()


def last_training(trainer: Person, candidate: Person, scheme: Scheme) -> date | None:
    """Return the last day on which this trainer trained this candidate under a scheme, if ever."""
    acts = TrainingAct.objects.filter(trainer=trainer, candidate=candidate, scheme=scheme)
    return acts.order_by("-ended_on").values_list("ended_on", flat=True).first()


def trainers_for(candidate: Person, paper: str) -> set[int]:
    """Return who ever trained a candidate under a scheme that asks for this paper, by number of the person."""
    acts = TrainingAct.objects.filter(candidate=candidate, scheme__issues__body__paper=paper)
    return set(acts.values_list("trainer_id", flat=True))


def staff_on(on: date) -> QuerySet[Person]:
    """Return the people who can be given a permission: active trainers and administrators."""
    holders = RoleHeld.objects.in_force_on(on).filter(role__in=[Role.TRAINER, Role.ADMINISTRATOR])
    return Person.objects.filter(is_active=True, pk__in=holders.values("person")).order_by("name", "pk")


def candidates_on(people: QuerySet[Person], on: date) -> QuerySet[Person]:
    """Keep the active crew members among these people."""
    holders = RoleHeld.objects.in_force_on(on).filter(role=Role.CREW)
    return people.filter(is_active=True, pk__in=holders.values("person")).order_by("name", "pk")


@dataclass(frozen=True, slots=True)
class Row:
    """One scheme in the list."""

    slug: str
    title: str
    issue: int
    scope: str


def index() -> list[Row]:
    """List the schemes in use, in one query."""
    return [Row(one.scheme.slug, one.title, one.number, one.body["scope"]) for one in current_issues()]


@dataclass(frozen=True, slots=True)
class Holder:
    """A person with a permission and its dates; `holds` on the day of the page."""

    name: str
    from_on: date
    until_on: date | None
    holds: bool


@dataclass(frozen=True, slots=True)
class Page:
    """A scheme as its staff read it."""

    slug: str
    is_retired: bool
    spec: SchemeSpec
    modules: tuple[tuple[str, str], ...]
    paper: str
    practical: tuple[tuple[str, tuple[CheckSpec, ...]], ...]
    issues: tuple[tuple[int, date], ...]
    validity: str
    unconfirmed: str
    decision: str
    holders: tuple[tuple[str, tuple[Holder, ...]], ...]


def page(scheme: Scheme, *, on: date) -> Page:
    """Gather a scheme's page in five queries."""
    issues = list(scheme.issues.order_by("-number"))
    wanted, asked = spec(issues[0]), checks(issues[0])
    titles = {revision.module.slug: revision.title for revision in in_force().defer("body")}
    paper = PaperIssue.objects.filter(paper__slug=wanted.paper).order_by("-version").first()
    return Page(
        slug=scheme.slug,
        is_retired=scheme.retired_at is not None,
        spec=wanted,
        modules=tuple((slug, titles.get(slug, slug)) for slug in wanted.modules),
        paper=paper.title if paper else wanted.paper,
        practical=tuple(
            (titles.get(slug, slug), tuple(check for check in asked if check.module == slug))
            for slug in wanted.practical
        ),
        issues=tuple((issue.number, issue.loaded_at.date()) for issue in issues),
        validity=_validity(wanted),
        unconfirmed=_unconfirmed(wanted),
        decision=decision_words(wanted.decision),
        holders=_holders(scheme, on),
    )


def _validity(wanted: SchemeSpec) -> str:
    eve = _("%(months)d months, to the end of the eve of the anniversary, in the time zone %(zone)s")
    anniversary = _("%(months)d months, to the end of the anniversary itself, in the time zone %(zone)s")
    return (eve if wanted.last_day is LastDay.EVE else anniversary) % {"months": wanted.months, "zone": wanted.zone}


def _unconfirmed(wanted: SchemeSpec) -> str:
    stops = _("every %(months)d months; without it the card is not current")
    warns = _("every %(months)d months; without it the card carries a warning")
    return (stops if wanted.unconfirmed is Unconfirmed.STOPS else warns) % {"months": wanted.confirm_months}


def decision_words(decided: Decided) -> str:
    """Say in words who decides about the card."""
    if decided is Decided.ON_SIGNING:
        return _("the assessor's signature under a passed practical leads straight to the card")
    return _("a named person who neither trained nor assessed the candidate decides after the practical")


def _holders(scheme: Scheme, on: date) -> tuple[tuple[str, tuple[Holder, ...]], ...]:
    rows = scheme.authorities.select_related("person").order_by("person__name", "from_on")
    by_act: Mapping[str, list[Holder]] = {act.value: [] for act in Act}
    for row in rows:
        holds = row.person.is_active and holds_on(row.from_on, row.until_on, on=on)
        by_act[row.act].append(Holder(row.person.name, row.from_on, row.until_on, holds))
    return tuple((str(ACT_WORDS[act]), tuple(by_act[act.value])) for act in Act)
