"""Filled sheets that came and are not signed yet, and one of them in full."""

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _

from certs.schemes import queries as schemes
from certs.signoffs import rules
from certs.signoffs.models import CONFIRMED_WORDS, TOOL_WORDS, ReceivedSheet, Signoff
from certs.signoffs.queries.persons import case, case_sentences
from certs.signoffs.queries.photos import photos
from certs.signoffs.queries.records import mark_of
from certs.signoffs.queries.sheets import Worked, bounds_of, work_out
from certs.signoffs.queries.waits import Waiting, waiting
from certs.signoffs.rules import Bounds, Confirmed, Sheet
from training.ledger.models import Entry
from training.people.models import Person

HELD = ("candidate__employer", "assessor__employer", "made_by", "scheme_issue__scheme")


@dataclass(frozen=True, slots=True)
class ToSign:
    """A sheet that waits for its assessor; `why_not` is empty when the viewer may sign it now."""

    pk: UUID
    candidate_id: int
    candidate: str
    employer: str
    has_password: bool
    assessor: str
    made_by: str
    on_paper: bool
    scheme: str
    issue: int
    assessed_on: date
    made_at: datetime
    received_at: datetime
    passed: bool
    outside: tuple[str, ...]
    why_not: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Desk:
    """What waits for one member of staff: filled sheets, and what has no sheet yet."""

    sheets: tuple[ToSign, ...]
    waiting: Waiting


@dataclass(frozen=True, slots=True)
class Filled:
    """A filled sheet in full, as it came."""

    row: ToSign
    received: ReceivedSheet
    sheet: Sheet
    bounds: Bounds
    worked: Worked
    limit_source: str
    checks: tuple[tuple[str, bool, bool], ...]
    photos: tuple[UUID, ...]
    signoff: Signoff | None
    confirmed: str
    mark: Entry | None
    done_again: str
    may_add: bool

    @property
    def instruments(self) -> tuple[tuple[str, str, date], ...]:
        """Each instrument: what for, its serial number, the last day its calibration is good."""
        return tuple((str(TOOL_WORDS[one.tool]), one.serial, one.calibrated_until) for one in self.sheet.instruments)


def received_sheets() -> QuerySet[ReceivedSheet]:
    """Return sheets with all that their page shows."""
    return ReceivedSheet.objects.select_related(*HELD, "signoff", "do_again__by")


def open_sheets(people: QuerySet[Person]) -> QuerySet[ReceivedSheet]:
    """Return the sheets of these people that are neither signed nor done again, the first made first."""
    waiting = received_sheets().filter(signoff=None, do_again=None, candidate__in=people)
    return waiting.order_by("phone_time", "received_at", "pk")


def to_sign(viewer: Person, people: QuerySet[Person], *, on: date) -> tuple[ToSign, ...]:
    """List the sheets this person filled in or is to sign, oldest first, each with why they may not sign it."""
    mine = open_sheets(people).filter(Q(assessor=viewer) | Q(made_by=viewer))
    return tuple(row_of(one, viewer, on=on) for one in mine)


def count_to_sign(assessor: Person) -> int:
    """Count the sheets of this assessor that are neither signed nor done again."""
    return ReceivedSheet.objects.filter(assessor=assessor, signoff=None, do_again=None).count()


def desk(viewer: Person, people: QuerySet[Person], *, on: date) -> Desk:
    """Gather what waits for a signature, a decision or an approval, the sheets first."""
    return Desk(to_sign(viewer, people, on=on), waiting(viewer, people, on=on))


def row_of(received: ReceivedSheet, viewer: Person, *, on: date) -> ToSign:
    """Return a sheet as it stands in the list."""
    sheet, worked = written(received), worked_of(received)
    issue = received.scheme_issue
    return ToSign(
        pk=received.pk,
        candidate_id=received.candidate_id,
        candidate=received.candidate.name,
        employer=received.candidate.employer.name,
        has_password=received.candidate.has_usable_password(),
        assessor=received.assessor.name,
        made_by=received.made_by.name,
        on_paper=received.on_paper,
        scheme=issue.title,
        issue=issue.number,
        assessed_on=sheet.assessed_on,
        made_at=received.phone_time,
        received_at=received.received_at,
        passed=worked.outcome.passed,
        outside=_outside(worked),
        why_not=why_not(received, sheet, viewer, on=on),
    )


def why_not(received: ReceivedSheet, sheet: Sheet, viewer: Person, *, on: date) -> tuple[str, ...]:
    """Say why this person may not sign this sheet: by the rules that hold at every door, and only who saw it."""
    if hasattr(received, "signoff"):
        return (_("This sheet is signed."),)
    if hasattr(received, "do_again"):
        return (_("This sheet was sent back: the practical is done again."),)
    if received.assessor_id != viewer.pk:
        return (_("%(name)s saw this practical and signs it.") % {"name": received.assessor.name},)
    if received.on_paper and not photos(received):
        return (_("Add a photo or scan of the paper first: it goes with what was typed in from it."),)
    replaces = Signoff.objects.filter(pk=sheet.replaces).first() if sheet.replaces else None
    days = [sheet.assessed_on, on]
    facts = case(viewer, received.candidate, received.scheme_issue, days=days, replaces=replaces)
    return case_sentences(rules.objections(facts, on=sheet.assessed_on), facts, received.candidate)


def _outside(worked: Worked) -> tuple[str, ...]:
    bonds = (_("bond %(number)d: %(faults)s") % {"number": line.position, "faults": "; ".join(line.faults)}
             for line in worked.lines if line.faults)  # fmt: skip
    missed = (_("not seen: %(text)s") % {"text": text} for text in worked.missed)
    return (*bonds, *missed)


def written(received: ReceivedSheet, *, confirmed: bool = False) -> Sheet:
    """Return the sheet as it was read when it came."""
    return rules.sheet_from(received.reading, confirmed=confirmed)


def worked_of(received: ReceivedSheet) -> Worked:
    """Return what a sheet comes to."""
    sheet, issue = written(received), received.scheme_issue
    return work_out(sheet.bonds, schemes.checks(issue), sheet.seen, bounds_of(schemes.spec(issue)))


def filled(received: ReceivedSheet, viewer: Person, *, on: date) -> Filled:
    """Gather the page of a filled sheet, loaded through `received_sheets()`."""
    sheet, wanted = written(received), schemes.spec(received.scheme_issue)
    again, signoff = getattr(received, "do_again", None), getattr(received, "signoff", None)
    return Filled(
        row=row_of(received, viewer, on=on),
        received=received,
        sheet=sheet,
        bounds=bounds_of(wanted),
        worked=worked_of(received),
        limit_source=wanted.joint_limit_source,
        checks=tuple((one.text, one.critical, one.slug in sheet.seen) for one in schemes.checks(received.scheme_issue)),
        photos=photos(received),
        signoff=signoff,
        confirmed=str(CONFIRMED_WORDS[Confirmed(signoff.confirmed)]) if signoff else "",
        mark=mark_of(signoff) if signoff else None,
        done_again=again.reason if again else "",
        may_add=viewer.pk == received.made_by_id and signoff is None and again is None,
    )
