"""The records that acts are about: by which keys the ledger holds them, how they are called, where they are shown."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from certs.batches.models import Batch
from certs.cards.models import Card, CardKey
from certs.complaints.models import Complaint
from certs.crewing.models import Plan
from certs.gates.models import GateToken
from certs.photos.models import Photo
from certs.schemes.models import Scheme
from certs.signoffs.models import AssessorException, ReceivedSheet, Signoff
from certs.worklog.models import WorkEntry
from training.amendments.models import Amendment
from training.bank.models import Correction, Question
from training.panels.models import Panel
from training.people.models import Crew, Employer, Person, Site
from training.procedures.models import Revision
from training.quizzes.models import Paper, Sitting
from training.reviews.models import Appeal
from training.rosters.models import Roster


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of record: `keys` are its names in the ledger, `named` the column people know it by, `to` its page.

    The page takes as `takes` what stands in the column `by`.
    """

    label: Promise
    model: type[models.Model]
    keys: tuple[str, ...]
    named: str = "pk"
    to: str = ""
    takes: str = "pk"
    by: str = "pk"


KINDS: Mapping[str, Kind] = {
    "person": Kind(_("person"), Person, ("person", "assessor"), "name", "records:person"),
    "card": Kind(_("card"), Card, ("card", "for"), "number", "cards:card", "number", "number"),
    "practical": Kind(_("practical"), Signoff, ("signoff", "evidence"), "pk", "signoffs:signoff"),
    "sheet": Kind(_("sheet"), ReceivedSheet, ("sheet",), "pk", "signoffs:filled"),
    "exception": Kind(_("exception"), AssessorException, ("exception",)),
    "paper": Kind(_("paper"), Paper, ("paper",), "slug"),
    "sitting": Kind(_("paper sat"), Sitting, ("sitting",), "pk", "quizzes:sitting"),
    "appeal": Kind(_("question about a mark"), Appeal, ("appeal",), "pk", "reviews:appeal"),
    "complaint": Kind(_("complaint"), Complaint, ("complaint",), "pk", "complaints:complaint"),
    "correction": Kind(_("correction of a key"), Correction, ("correction",), "pk", "reviews:correction"),
    "question": Kind(_("question"), Question, ("question",), "key"),
    "panel": Kind(_("panel"), Panel, ("panel",), "pk", "panels:panel"),
    "amendment": Kind(_("amendment"), Amendment, ("amendment",), "pk", "amendments:amendment"),
    "revision": Kind(
        _("procedure"), Revision, ("revision", "base"), "title", "procedures:module", "slug", "module__slug"
    ),
    "scheme": Kind(_("scheme"), Scheme, ("scheme",), "slug", "schemes:scheme", "slug", "slug"),
    "work": Kind(_("entry of the work log"), WorkEntry, ("entry",)),
    "photo": Kind(_("photo"), Photo, ("photo",), "pk", "photos:photo"),
    "batch": Kind(_("print of cards"), Batch, ("batch",), "pk", "batches:batch"),
    "roster": Kind(_("roster"), Roster, ("roster",), "pk", "rosters:roster"),
    "plan": Kind(_("crewing plan"), Plan, ("plan",), "pk", "crewing:plan"),
    "employer": Kind(_("employer"), Employer, ("employer", "before"), "name"),
    "site": Kind(_("site"), Site, ("site",), "name"),
    "crew": Kind(_("crew"), Crew, ("crew",), "name"),
    "token": Kind(_("token of a gate"), GateToken, ("token",), "name"),
    "key": Kind(_("key of cards"), CardKey, ("key",), "key_id"),
}
SHORT = 8
BY_KEY = {key: (name, kind) for name, kind in KINDS.items() for key in kind.keys}


@dataclass(frozen=True, slots=True)
class Record:
    """A record an act is about; without `url` it has no page, and without `there` it is gone."""

    label: Promise
    name: str
    url: str
    there: bool


def about(name: str, number: str) -> Q:
    """Return what entries about this record hold. A card may be given by what is printed on it."""
    kind = KINDS[name]
    wanted: list[object] = [number.strip().lower()]
    if name == "card":
        wanted += Card.objects.filter(number__iexact=number.strip()).values_list("pk", flat=True)
    if number.strip().isascii() and number.strip().isdecimal():
        wanted.append(int(number))
    found = Q(pk__in=[])
    for key in kind.keys:
        for value in wanted:
            found |= Q(**{f"about__{key}": value})
    return found


def named(entries: Iterable[Mapping[str, Any]]) -> dict[tuple[str, str], Record]:
    """Return the records that these entries are about, by key and number as text: one query a kind.

    What is no number of that kind, such as the fingerprint of a signed sheet, is no record.
    """
    wanted: dict[str, dict[str, object]] = defaultdict(dict)
    for facts in entries:
        for key, value in facts.items():
            if key in BY_KEY and (number := _number(BY_KEY[key][1], value)) is not None:
                wanted[BY_KEY[key][0]][str(value)] = number
    found: dict[tuple[str, str], Record] = {}
    for name, numbers in wanted.items():
        kind = KINDS[name]
        table = kind.model._default_manager.filter(pk__in=numbers.values())
        rows = {str(pk): (text, by) for pk, text, by in table.values_list("pk", kind.named, kind.by)}
        for number in numbers:
            record = _record(kind, number, rows.get(number))
            found |= {(key, number): record for key in kind.keys}
    return found


def _number(kind: Kind, value: object) -> object:
    try:
        return UUID(str(value)) if isinstance(kind.model._meta.pk, models.UUIDField) else int(str(value))
    except ValueError:
        return None


def _record(kind: Kind, number: str, row: tuple[object, object] | None) -> Record:
    # The first letters of a long number tell records apart well enough to the eye.
    short = number[:SHORT]
    if row is None:
        return Record(kind.label, short, "", there=False)
    text, by = row
    name = short if kind.named == "pk" else str(text)
    return Record(kind.label, name, reverse(kind.to, kwargs={kind.takes: by}) if kind.to else "", there=True)
