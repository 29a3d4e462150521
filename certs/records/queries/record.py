"""One person's whole record, as of today: a fixed number of queries however long it is."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.utils.translation import gettext as _

from certs.cards.models import Card
from certs.cards.queries import CardFace, Happening, cards_with_acts, faces, history, newest
from certs.cards.rules import allowed_steps, local_day
from certs.records.queries.own import OwnScheme, own_schemes
from certs.schemes.models import ACT_WORDS, SchemeIssue
from certs.schemes.rules import Act
from certs.signoffs.models import AssessorException, Decision, DoAgain, Signoff
from training.people.models import Person
from training.people.queries import Sheet, Spell, sheet
from training.people.rules import Role, in_force
from training.procedures.models import Reading
from training.quizzes.models import Sitting
from training.quizzes.queries import counted, counting


@dataclass(frozen=True, slots=True)
class Held:
    """A card, what happened to it, and what the viewer may do about it."""

    face: CardFace
    history: tuple[Happening, ...]
    may_confirm: bool
    may_measure: bool


@dataclass(frozen=True, slots=True)
class Sat:
    """A sitting that is over."""

    pk: UUID
    title: str
    on: date
    passed: bool


@dataclass(frozen=True, slots=True)
class Read:
    """A revision that was read."""

    slug: str
    title: str
    number: int
    on: date


@dataclass(frozen=True, slots=True)
class Shown:
    """A signed practical and what was decided about it."""

    pk: UUID
    scheme: str
    on: date
    assessor: str
    passed: bool
    replaced: bool
    decision: Happening | None
    granted: bool


@dataclass(frozen=True, slots=True)
class SentBack:
    """A sheet that was not signed, so that the practical is done again, and why."""

    pk: UUID
    scheme: str
    on: date
    assessor: str
    reason: str


@dataclass(frozen=True, slots=True)
class Excepted:
    """A declared exception; `answer` is None while it waits for a third person, with words where it was refused."""

    scheme: str
    on: date
    assessor: str
    why: str
    safeguard: str
    answer: Happening | None


@dataclass(frozen=True, slots=True)
class Trained:
    """Training received, to a day."""

    scheme: str
    trainer: str
    ended_on: date


@dataclass(frozen=True, slots=True)
class Record:
    """Everything on record about a person that the viewer may see."""

    on: date
    account: Sheet
    next_steps: tuple[OwnScheme, ...]
    cards: tuple[Held, ...]
    sittings: tuple[Sat, ...]
    readings: tuple[Read, ...]
    practicals: tuple[Shown, ...]
    sent_back: tuple[SentBack, ...]
    exceptions: tuple[Excepted, ...]
    trained: tuple[Trained, ...]
    permissions: tuple[Spell, ...]
    sees_results: bool


def record(
    person: Person,
    *,
    may_confirm: Callable[[Card], bool],
    may_measure: Callable[[Card], bool],
    sees_results: bool,
    on: date,
    at: datetime,
) -> Record:
    """Gather a person's record; the two questions are asked of each card on behalf of the viewer."""
    account = sheet(person, on=on)
    is_crew = person.roles_held.in_force_on(on).filter(role=Role.CREW).exists()
    loaded = _cards(person)
    shown_faces = faces(loaded, on=on)
    held = newest(shown for shown in reversed(shown_faces) if shown.valid_from <= on)
    titles = dict(SchemeIssue.objects.order_by("number").values_list("scheme_id", "title"))
    return Record(
        on=on,
        account=account,
        next_steps=own_schemes(person, on=on, at=at, held=held) if is_crew else (),
        cards=tuple(
            _held(card, shown, may_confirm, may_measure) for card, shown in zip(loaded, shown_faces, strict=True)
        ),
        sittings=tuple(_sat(one, person) for one in _sittings(person)),
        readings=tuple(_read(one, person) for one in _readings(person)),
        practicals=tuple(_shown(one, person) for one in _practicals(person)),
        sent_back=_sent_back(person),
        exceptions=tuple(_excepted(one, titles, person) for one in _exceptions(person)),
        trained=_trained(person, titles),
        permissions=_permissions(person, titles, on=on),
        sees_results=sees_results,
    )


def _cards(person: Person) -> list[Card]:
    """Load a person's cards, the newest first, with everyone who acted on them."""
    return list(cards_with_acts().filter(person=person).order_by("-valid_from", "-pk"))


def _held(
    card: Card, shown: CardFace, may_confirm: Callable[[Card], bool], may_measure: Callable[[Card], bool]
) -> Held:
    return Held(
        face=shown,
        history=history(card),
        may_confirm=shown.holds and may_confirm(card),
        may_measure=bool(allowed_steps(shown.standing)) and may_measure(card),
    )


def _sittings(person: Person) -> list[Sitting]:
    over = counting(person.sittings.filter(handed_in_at__isnull=False)).select_related("issue").defer("issue__body")
    return list(over.order_by("-handed_in_at"))


def _sat(sitting: Sitting, person: Person) -> Sat:
    on = local_day(sitting.handed_in_at, person.employer.zone)
    return Sat(sitting.pk, sitting.issue.title, on, counted(sitting).passed)


def _readings(person: Person) -> list[Reading]:
    readings = person.readings.select_related("revision__module").defer("revision__body")
    return list(readings.order_by("-read_at", "-pk"))


def _read(reading: Reading, person: Person) -> Read:
    revision = reading.revision
    return Read(revision.module.slug, revision.title, revision.number, local_day(reading.read_at, person.employer.zone))


def _practicals(person: Person) -> list[Signoff]:
    signed = person.signoffs.select_related("scheme_issue", "assessor", "decision__by", "replaced_by")
    return list(signed.defer("scheme_issue__body", "checks").order_by("-signed_at"))


def _shown(signoff: Signoff, person: Person) -> Shown:
    decision = getattr(signoff, "decision", None)
    return Shown(
        pk=signoff.pk,
        scheme=signoff.scheme_issue.title,
        on=signoff.assessed_on,
        assessor=signoff.assessor.name,
        passed=signoff.passed,
        replaced=hasattr(signoff, "replaced_by"),
        decision=_decided(decision, person) if decision else None,
        granted=decision is not None and decision.granted,
    )


def _sent_back(person: Person) -> tuple[SentBack, ...]:
    rows = DoAgain.objects.filter(sheet__candidate=person).select_related("sheet__scheme_issue", "sheet__assessor")
    found = (row.sheet for row in rows.order_by("-at").defer("sheet__body", "sheet__reading"))
    return tuple(
        SentBack(one.pk, one.scheme_issue.title, one.assessed_on, one.assessor.name, one.do_again.reason)
        for one in found
    )


def _decided(decision: Decision, person: Person) -> Happening:
    act = _("granted") if decision.granted else _("refused")
    on = local_day(decision.at, person.employer.zone)
    return Happening(on, decision.at, act, decision.by.name, decision.reasons)


def _exceptions(person: Person) -> list[AssessorException]:
    declared = AssessorException.objects.filter(candidate=person).select_related(
        "assessor", "approved_by", "refused_by"
    )
    return list(declared.order_by("-asked_at", "-pk"))


def _excepted(one: AssessorException, titles: Mapping[int, str], person: Person) -> Excepted:
    return Excepted(
        scheme=titles[one.scheme_id],
        on=local_day(one.asked_at, person.employer.zone),
        assessor=one.assessor.name,
        why=one.why,
        safeguard=one.safeguard,
        answer=_answer(one, person),
    )


def _answer(one: AssessorException, person: Person) -> Happening | None:
    by, at = one.approved_by or one.refused_by, one.approved_at or one.refused_at
    if by is None or at is None:
        return None
    act = _("refused") if one.refusal else _("approved")
    return Happening(local_day(at, person.employer.zone), at, act, by.name, one.refusal)


def _trained(person: Person, titles: Mapping[int, str]) -> tuple[Trained, ...]:
    acts = person.training_received.select_related("trainer").order_by("-ended_on", "-pk")
    return tuple(Trained(titles[act.scheme_id], act.trainer.name, act.ended_on) for act in acts)


def _permissions(person: Person, titles: Mapping[int, str], *, on: date) -> tuple[Spell, ...]:
    held = person.authorities.order_by("-from_on", "-pk")
    return tuple(
        Spell(
            _("%(act)s: %(scheme)s") % {"act": ACT_WORDS[Act(one.act)], "scheme": titles[one.scheme_id]},
            one.from_on,
            one.until_on,
            in_force(one.from_on, one.until_on, on=on),
        )
        for one in held
    )
