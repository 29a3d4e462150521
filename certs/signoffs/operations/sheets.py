"""A filled sheet on its way: received from a device, signed at one go with others, or sent back."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from certs.arrivals import rules as arrivals
from certs.arrivals.rules import Conflict, Sent
from certs.cards.operations import CardRefused
from certs.schemes.models import SchemeIssue
from certs.signoffs import queries, rules
from certs.signoffs.models import DoAgain, ReceivedSheet, Signoff
from certs.signoffs.operations.locks import locked
from certs.signoffs.operations.refusals import MayNotSign, Refused
from certs.signoffs.operations.signing import sign_off
from certs.signoffs.rules import Confirmed, Sheet
from training.ledger.operations import write
from training.people.models import Person
from training.questions.canonical import digest


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """A sheet that could be read: whose, under which issue, seen by whom, and what it says."""

    candidate: Person
    scheme_issue: SchemeIssue
    assessor: Person
    on_paper: bool
    sheet: Sheet


# Reads what was sent; raises Unfit with every sentence.
Reader = Callable[[Sent], Written]


def receive(*, pk: UUID, raw: bytes, by: Person, at: datetime, reader: Reader) -> tuple[ReceivedSheet, bool]:
    """Keep a filled sheet under the key its device made, and say whether it is new; the same bytes change nothing.

    Raises arrivals.Unreadable for bytes that are no record, Unfit for a sheet its maker must put right, and
    arrivals.Conflict where the key stands for something else or somebody else made it.
    """
    sent = arrivals.read(raw)
    if sent.made_by != by.pk:
        raise Conflict
    known = _known(pk, by, sent)
    if known is not None:
        return known, False
    written = reader(sent)
    try:
        with transaction.atomic():
            return _keep(pk, written, sent, by=by, at=at), True
    except IntegrityError:
        # The same sheet came twice at once and the other one was first.
        known = _known(pk, by, sent)
        if known is None:
            raise
        return known, False


def _known(pk: UUID, by: Person, sent: Sent) -> ReceivedSheet | None:
    """Return the sheet kept under a key. Raises Conflict where it is another one, or a record signed without one."""
    known = ReceivedSheet.objects.filter(pk=pk).first()
    if known is not None and (known.made_by_id, known.digest) != (by.pk, sent.digest):
        raise Conflict
    if known is None and Signoff.objects.filter(pk=pk).exists():
        raise Conflict
    return known


def _keep(pk: UUID, written: Written, sent: Sent, *, by: Person, at: datetime) -> ReceivedSheet:
    reading = rules.as_json(written.sheet)
    received = ReceivedSheet.objects.create(
        id=pk,
        candidate=written.candidate,
        scheme_issue=written.scheme_issue,
        assessor=written.assessor,
        made_by=by,
        on_paper=written.on_paper,
        assessed_on=written.sheet.assessed_on,
        body=dict(sent.fields),
        reading=reading,
        digest=sent.digest,
        phone_time=sent.phone_time,
        received_at=at,
    )
    about = {"sheet": str(pk), "person": written.candidate.pk, "bytes": sent.digest, "reading": digest(reading)}
    write(by=by.pk, act="sheet received", about=about, at=at)
    return received


@dataclass(frozen=True, slots=True)
class Signed:
    """What became of one sheet: its record, or the sentences that refuse it."""

    sheet: ReceivedSheet
    signoff: Signoff | None
    sentences: tuple[str, ...]


def sign_sheets(
    *, sheets: Iterable[tuple[ReceivedSheet, Confirmed]], assessor: Person, at: datetime, on: date
) -> list[Signed]:
    """Sign several sheets, each for itself: one that is refused does not hold up the others."""
    found = []
    for sheet, how in sheets:
        try:
            signoff = sign_sheet(sheet=sheet, how=how, assessor=assessor, at=at, on=on)
            found.append(Signed(sheet, signoff, ()))
        except Refused as refused:
            found.append(Signed(sheet, None, refused.sentences))
        except CardRefused as refused:
            found.append(Signed(sheet, None, (str(refused),)))
    return found


@transaction.atomic
def sign_sheet(*, sheet: ReceivedSheet, how: Confirmed, assessor: Person, at: datetime, on: date) -> Signoff:
    """Sign a sheet as it was read when it came; signed twice it is one record.

    Raises MayNotSign, BadSheet, CannotCorrect, cards.CardRefused.
    """
    locked(sheet.candidate)
    sheet = queries.received_sheets().get(pk=sheet.pk)
    if sheet.assessor_id != assessor.pk:
        raise MayNotSign([_("%(name)s saw this practical and signs it.") % {"name": sheet.assessor.name}])
    if hasattr(sheet, "do_again"):
        raise MayNotSign([_("This sheet was sent back: the practical is done again.")])
    if sheet.on_paper and not queries.photos(sheet):
        raise MayNotSign([_("Add a photo or scan of the paper first: it goes with what was typed in from it.")])
    return sign_off(
        candidate=sheet.candidate,
        scheme_issue=sheet.scheme_issue,
        assessor=assessor,
        sheet=queries.written(sheet, confirmed=True),
        at=at,
        on=on,
        how=how,
        received=sheet,
    )


@transaction.atomic
def send_back(*, sheet: ReceivedSheet, by: Person, reason: str, at: datetime) -> DoAgain:
    """Refuse to sign a sheet, so that the practical is done again; a second time changes nothing. Raises MayNotSign."""
    locked(sheet.candidate)
    sheet = queries.received_sheets().get(pk=sheet.pk)
    made: DoAgain | None = getattr(sheet, "do_again", None)
    if made is not None:
        return made
    if sheet.assessor_id != by.pk or by.pk == sheet.candidate_id:
        raise MayNotSign([_("%(name)s saw this practical and sends it back.") % {"name": sheet.assessor.name}])
    if hasattr(sheet, "signoff"):
        raise MayNotSign([_("This sheet is signed. Open the record, and correct it there if it is wrong.")])
    if not reason.strip():
        raise MayNotSign([_("Say why: the candidate reads it, and does the practical again.")])
    made = DoAgain.objects.create(sheet=sheet, by=by, at=at, reason=reason.strip())
    about = {"sheet": str(sheet.pk), "person": sheet.candidate_id}
    write(by=by.pk, act="sheet sent back", about=about, at=at)
    return made
