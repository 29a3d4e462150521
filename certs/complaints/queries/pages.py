"""A complaint as one person sees it, with the way to the proof."""

from dataclasses import dataclass
from datetime import date
from urllib.parse import urlencode

from django.urls import reverse
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from certs.cards.models import Card
from certs.complaints import rules
from certs.complaints.models import CHANNEL_WORDS, FINDING_WORDS, STEP_WORDS, Complaint, ComplaintStep
from certs.complaints.queries.lists import Row, row, tied_words
from certs.complaints.queries.loading import is_gone, past_of
from certs.complaints.queries.persons import Known, eyes_of
from certs.complaints.rules import Channel, Eyes, Finding, State, Step
from certs.worklog.models import WorkEntry
from training.people.models import Person

# What whoever handles it may do, in the order in which it is usually done.
OFFERED = (Step.ASKED, Step.WORD, Step.FOUND, Step.DONE, Step.CLOSED, Step.PUT_RIGHT, Step.LAID_DOWN)


@dataclass(frozen=True, slots=True)
class PastLine:
    """A step as it is shown; of one that puts right, `corrects` names the step it puts right."""

    pk: int
    on: date
    by: str
    act: str
    finding: str
    text: str
    more: str
    corrects: str


@dataclass(frozen=True, slots=True)
class Way:
    """A link to what belongs to a complaint."""

    label: str
    url: str


@dataclass(frozen=True, slots=True)
class Page:
    """A complaint as this reader sees it, its row of a list with more; what they may not see is empty."""

    complaint: Complaint
    reader: Person
    on: date
    eyes: Eyes
    row: Row
    came: str
    outcome: str
    past: tuple[PastLine, ...]
    may_take: bool
    may_answer: bool
    until: date | None
    steps: tuple[Step, ...]
    next: Step | None
    proof: tuple[Way, ...]
    measure: str

    @property
    def reads(self) -> bool:
        """Whether the reader sees what happened in words."""
        return self.eyes is not Eyes.TIED

    @property
    def handles(self) -> bool:
        """Whether the reader is among those who handle complaints, and nothing ties them to this one."""
        return self.eyes in {Eyes.HANDLER, Eyes.READER}


def page(complaint: Complaint, known: Known, *, on: date) -> Page | None:
    """Return a complaint loaded through `complaints` for somebody, or None where it is nothing to them."""
    seen, tied = eyes_of(known, complaint, on=on)
    if seen is None:
        return None
    past, handles = past_of(complaint), seen in {Eyes.HANDLER, Eyes.READER}
    told = row(complaint, known.person, why_not=tied_words(seen, tied), on=on)
    state = told.state
    free = rules.handler(past) is None or is_gone(complaint)
    sides = [one.until for one in rules.sides_open(past) if one.asked == known.person.pk and state is not State.CLOSED]
    return Page(
        complaint=complaint,
        reader=known.person,
        on=on,
        eyes=seen,
        row=told,
        came=str(CHANNEL_WORDS[Channel(complaint.channel)]) if complaint.channel and handles else "",
        outcome=_outcome(complaint) if state is State.CLOSED else "",
        past=tuple(_lines(complaint, known, seen)),
        may_take=seen is Eyes.READER and free and state is not State.CLOSED,
        may_answer=bool(sides),
        until=sides[-1] if sides else None,
        steps=_steps(state, seen, gone=is_gone(complaint)),
        next=rules.next_step(past, against=complaint.of_id is not None),
        proof=tuple(_proof(complaint)) if handles else (),
        measure=_measure(complaint) if seen is Eyes.HANDLER else "",
    )


def _steps(state: State, seen: Eyes, *, gone: bool) -> tuple[Step, ...]:
    """Return what may be done; a closed one whose handler has left is put right by another."""
    if state is State.CLOSED:
        return (Step.PUT_RIGHT,) if seen is Eyes.HANDLER or (gone and seen is Eyes.READER) else ()
    return OFFERED if seen is Eyes.HANDLER else ()


def _outcome(complaint: Complaint) -> str:
    """Return the last finding: a later one puts an earlier one right."""
    found = [one.finding for one in complaint.steps.all() if one.step == Step.FOUND]
    return str(FINDING_WORDS[Finding(found[-1])]) if found else ""


def _lines(complaint: Complaint, known: Known, seen: Eyes) -> list[PastLine]:
    return [_line(one, seen) for one in complaint.steps.all() if _is_shown(one.corrects or one, known, seen)]


def _is_shown(one: ComplaintStep, known: Known, seen: Eyes) -> bool:
    """Say whether an entry is shown; of several people who were asked, each reads what went to and came from them."""
    own = seen is not Eyes.ASKED or known.person.pk in {one.asked_id or one.by_id}
    return own and rules.is_shown(Step(one.step), to=seen)


def _line(one: ComplaintStep, seen: Eyes) -> PastLine:
    return PastLine(
        pk=one.pk,
        on=one.on,
        by=one.by.name,
        act=str(STEP_WORDS[Step(one.step)]),
        finding=str(FINDING_WORDS[Finding(one.finding)]) if one.finding else "",
        text=one.text,
        more=_more(one),
        corrects=_called(one.corrects) if one.corrects else "",
    )


def _more(one: ComplaintStep) -> str:
    if one.asked:
        return _("%(name)s, up to %(day)s") % {"name": one.asked.name, "day": date_format(one.until)}
    return one.reached


def _called(one: ComplaintStep) -> str:
    return _("“%(act)s” of %(day)s") % {"act": STEP_WORDS[Step(one.step)], "day": date_format(one.on)}


def _measure(complaint: Complaint) -> str:
    """Return the page on which the card is suspended or withdrawn, the reason begun with the number."""
    card = _card_now(complaint)
    if card is None:
        return ""
    cites = urlencode({"reason": _("Complaint %(number)s: ") % {"number": complaint.number}})
    return f"{reverse('cards:measure', kwargs={'number': card.number})}?{cites}"


def _card_now(complaint: Complaint) -> Card | None:
    """Return the card that counts now: the one complained about may have been renewed or replaced since."""
    old = complaint.card
    return Card.objects.filter(person=old.person_id, scheme=old.scheme_id).order_by("-pk").first() if old else None


def _proof(complaint: Complaint) -> list[Way]:
    """Return the ways to what is on record: of the card where there is one, else of the people."""
    card, now, ways = complaint.card, _card_now(complaint), []
    if card:
        signed = card.evidence
        held = {one.pk: one for one in (card, now) if one}
        ways += [
            *(
                Way(_("Card %(number)s") % {"number": one.number}, reverse("cards:card", kwargs={"number": one.number}))
                for one in held.values()
            ),
            Way(_("Signed practical under it"), reverse("signoffs:signoff", kwargs={"pk": signed.pk})),
        ]
        if signed.sheet_id:
            ways.append(Way(_("Sheet as it was filled in"), reverse("signoffs:filled", kwargs={"pk": signed.sheet_id})))
        ways += [
            Way(_("Paper sat for it"), reverse("quizzes:sitting", kwargs={"pk": signed.sitting_id})),
            Way(_("Every act on this card, from the ledger"), _acts("card", card.number)),
            *_bonds(complaint),
        ]
    people = {one.pk: one for one in (card and card.person, complaint.of, complaint.complainant) if one}
    ways += [
        Way(_("Record of %(name)s") % {"name": one.name}, reverse("records:person", kwargs={"pk": one.pk}))
        for one in people.values()
    ]
    return [*ways, Way(_("This complaint in the ledger"), _acts("complaint", str(complaint.pk)))]


def _bonds(complaint: Complaint) -> list[Way]:
    """Return the bonds that the holder recorded on the day, or under the number that the complaint gives."""
    rows = WorkEntry.objects.filter(person=complaint.card and complaint.card.person_id).order_by("done_on", "pk")
    numbered = rows.filter(job=complaint.reference) if complaint.reference else rows.none()
    on_the_day = rows.filter(done_on=complaint.happened_on) if complaint.happened_on else rows.none()
    words = _("Bonds recorded for %(day)s: %(place)s, job %(job)s")
    return [
        Way(words % {"day": date_format(one.done_on), "place": one.place, "job": one.job or "–"}, _acts("work", one.pk))
        for one in (numbered | on_the_day).distinct()
    ]


def _acts(kind: str, record: object) -> str:
    return f"{reverse('trail:index')}?{urlencode({'kind': kind, 'record': record})}"
