"""Asking for a batch, printing it step by step, stopping it, throwing it away."""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from django.db import OperationalError, transaction
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from certs.batches import rules
from certs.batches.models import Batch, BatchCard, BatchPart
from certs.batches.queries import faces_at
from certs.cards.models import Card
from certs.cards.operations import note_codes
from certs.cards.pdf import CannotPrint, Laid, Layout, lay, press
from certs.cards.queries import cards, ledger_marks
from certs.portraits.queries import printed
from training.ledger.operations import write
from training.people.models import Person
from training.printing.pdf import Printed, joined


class BatchRefused(ValueError):
    """These cards are not taken as a batch; the message is a sentence."""


class NotKept(RuntimeError):
    """What was printed could not be kept; the message is a sentence, and nothing of it shows."""


@transaction.atomic
def ask(*, by: Person, chosen: Sequence[Card], layout: Layout, language: str, at: datetime) -> Batch:
    """Record which cards are to be printed together, in the order given. Raises BatchRefused."""
    if not chosen:
        raise BatchRefused(_("Choose at least one card."))
    if len(chosen) > rules.MOST:
        sentence = _("These are %(count)d cards, and a print holds %(most)d. Choose a crew or an employer.")
        raise BatchRefused(sentence % {"count": len(chosen), "most": rules.MOST})
    batch = Batch.objects.create(by=by, asked_at=at, layout=layout, language=language)
    BatchCard.objects.bulk_create(
        BatchCard(batch=batch, card=card, place=place) for place, card in enumerate(chosen, 1)
    )
    return batch


def advance(*, batch: Batch, at: datetime) -> Batch:
    """Print the next step of a batch, or put its parts together when every card has had its turn.

    A batch that is stopped or made stays as it is, and so does one that somebody else moved on meanwhile. What a step
    makes is kept whole or not at all. Raises NotKept, or cards.queries.KeyUnavailable.
    """
    # Before the transaction: printing takes a while, and on SQLite it would keep every other writer waiting.
    try:
        step = _step(batch, at=at)
        with transaction.atomic():
            held = Batch.objects.select_for_update().get(pk=batch.pk)
            if held.stopped_at is None and held.made_at is None and held.parts.count() == step.number - 1:
                _keep(held, step, at=at)
    except OperationalError:
        sentence = _("What was printed could not be kept: the disk is full, or others are writing. Go on in a while.")
        raise NotKept(sentence) from None
    return held


@transaction.atomic
def stop(*, batch: Batch, at: datetime) -> Batch:
    """Stop a batch: what is printed of it stays, and it can go on from there."""
    return _set_stopped(batch, at)


@transaction.atomic
def resume(*, batch: Batch) -> Batch:
    """Let a stopped batch go on."""
    return _set_stopped(batch, None)


@transaction.atomic
def throw_away(*, batch: Batch) -> None:
    """Throw a batch away with everything printed of it. The cards stay."""
    Batch.objects.select_for_update().get(pk=batch.pk).delete()


@transaction.atomic
def forget_photo(*, person: Person, at: datetime) -> None:
    """Drop what is printed of batches with this person's cards; they stop, and may be printed again without the photo.

    A batch does not keep which photos it was printed with, so one that had none is printed again as well.
    """
    touched = BatchCard.objects.filter(card__person=person, part__isnull=False).values("batch")
    for held in Batch.objects.select_for_update().filter(pk__in=touched):
        held.stopped_at, held.made_at, held.pages, held.pdf = at, None, 0, b""
        held.save(update_fields=["stopped_at", "made_at", "pages", "pdf"])
        held.parts.all().delete()
        held.cards.update(part=None)


@dataclass(frozen=True, slots=True)
class _Step:
    """What a step made, not yet kept: the part, which cards are in it, and why others are not.

    The last step of all has no cards, and `made` is then the whole.
    """

    number: int
    made: Printed | None
    printed: tuple[int, ...] = ()
    refused: Mapping[int, str] = field(default_factory=dict)


def _step(batch: Batch, *, at: datetime) -> _Step:
    number = batch.parts.count() + 1
    waiting = batch.cards.filter(part__isnull=True, refused="").order_by("place")[: rules.STEP]
    asked = {row.card_id: row for row in waiting}
    if not asked:
        parts = list(batch.parts.order_by("number").values_list("pdf", flat=True))
        return _Step(number, joined([bytes(part) for part in parts]) if parts else None)
    found = {one.pk: one for one in cards().filter(pk__in=asked)}
    laid: dict[int, Laid] = {}
    refused: dict[int, str] = {}
    faces = {shown.card_id: shown for shown in faces_at([found[pk] for pk in asked], at=at)}
    marks, photos = ledger_marks(faces), printed({shown.person_id for shown in faces.values()})
    for pk, shown in faces.items():
        try:
            photo = photos.get(shown.person_id, b"")
            laid[pk] = lay(shown, mark=marks.get(pk, ""), language=batch.language, photo=photo)
        except CannotPrint as reason:
            refused[pk] = str(reason)
    note_codes(shown=[faces[pk] for pk in laid], at=at)
    layout = Layout(batch.layout)
    first = batch.cards.filter(part__isnull=False).count() // layout.up + 1
    title = _("Cards printed on %(day)s") % {"day": date_format(batch.asked_at.date())}
    made = press(list(laid.values()), layout, title=title, first=first) if laid else None
    return _Step(number, made, tuple(laid), refused)


def _keep(held: Batch, step: _Step, *, at: datetime) -> None:
    if step.printed or step.refused:
        for card, reason in step.refused.items():
            held.cards.filter(card=card).update(refused=reason)
        if step.made is not None:
            BatchPart.objects.create(batch=held, number=step.number, pdf=step.made.content)
            held.cards.filter(card__in=step.printed).update(part=step.number)
    elif step.made is not None:
        held.pdf, held.pages, held.made_at = step.made.content, step.made.pages, at
        held.save(update_fields=["pdf", "pages", "made_at"])
        held.parts.all().delete()
        pks = list(held.cards.filter(part__isnull=False).order_by("place").values_list("card", flat=True))
        about = {"batch": str(held.pk), "cards": pks, "pdf": hashlib.sha256(step.made.content).hexdigest()}
        write(by=held.by_id, act="cards printed", about=about, at=at)


def _set_stopped(batch: Batch, moment: datetime | None) -> Batch:
    held = Batch.objects.select_for_update().get(pk=batch.pk)
    if held.made_at is None:
        held.stopped_at = moment
        held.save(update_fields=["stopped_at"])
    return held
