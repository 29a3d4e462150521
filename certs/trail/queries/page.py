"""One page of the ledger, newest first."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

from django.db.models import Q, QuerySet
from django.utils.functional import Promise

from certs.trail.queries.acts import ACT_WORDS, UNNAMED
from certs.trail.queries.records import BY_KEY, Record, about, named
from training.ledger.models import Entry
from training.people.models import Person
from training.people.queries import named as people_named

SIZE = 50


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What narrows the list down; days are those of UTC, both included, and `before` is where the last page ended."""

    person: str = ""
    act: str = ""
    first: date | None = None
    last: date | None = None
    kind: str = ""
    record: str = ""
    before: int | None = None


@dataclass(frozen=True, slots=True)
class Row:
    """One act. `who` is none for what was done at the machine itself, where nobody is signed in.

    Also where it is `unnamed`: then it stands in the record.
    """

    seq: int
    at: datetime
    by: int
    who: str | None
    unnamed: bool
    words: str | Promise
    records: list[Record]
    facts: list[tuple[str, object]]
    mark: str


@dataclass(frozen=True, slots=True)
class Page:
    """Rows, and the number before which the next page begins, where there is one."""

    rows: list[Row]
    older: int | None


def page(asked: Asked) -> Page:
    """Return the acts that are asked for: always as many queries as there are kinds of record on the page, and two."""
    found = list(_found(asked)[: SIZE + 1])
    return Page(rows(found[:SIZE]), found[SIZE - 1].seq if len(found) > SIZE else None)


def rows(entries: Iterable[Entry]) -> list[Row]:
    """Return entries in words, with the names of who acted and of what it was about as they are now."""
    shown = list(entries)
    names = dict(Person.objects.filter(pk__in={entry.by for entry in shown}).values_list("pk", "name"))
    records = named(entry.about for entry in shown)
    return [_row(entry, names.get(entry.by), records) for entry in shown]


def _row(entry: Entry, who: str | None, records: dict[tuple[str, str], Record]) -> Row:
    held = {key: records[key, str(value)] for key, value in entry.about.items() if (key, str(value)) in records}
    return Row(
        seq=entry.seq,
        at=entry.at,
        by=entry.by,
        who=who,
        unnamed=entry.act in UNNAMED and not entry.by,
        words=ACT_WORDS.get(entry.act, entry.act),
        records=list(held.values()),
        facts=[(key, value) for key, value in entry.about.items() if key not in held],
        mark=entry.mark,
    )


def _found(asked: Asked) -> QuerySet[Entry]:
    found = Entry.objects.order_by("-seq")
    if asked.before:
        found = found.filter(seq__lt=asked.before)
    if asked.person:
        found = found.filter(by__in=_people(asked.person))
    if asked.act:
        found = found.filter(act=asked.act)
    if asked.first:
        found = found.filter(at__gte=_midnight(asked.first))
    if asked.last:
        found = found.filter(at__lt=_midnight(asked.last) + timedelta(days=1))
    if asked.kind and asked.record:
        found = found.filter(about(asked.kind, asked.record))
    elif asked.kind:
        keys = [key for key, (name, _kind) in BY_KEY.items() if name == asked.kind]
        found = found.filter(about__has_any_keys=keys)
    return found


def _people(text: str) -> list[int] | QuerySet[Person]:
    """Return whom a text means. A number counts also where the person is gone."""
    if text.isascii() and text.isdecimal():
        return [int(text)] if len(text) < 19 else []
    return people_named(Person.objects.all(), text, or_else=Q(username__iexact=text)).values("pk")


def _midnight(day: date) -> datetime:
    return datetime.combine(day, time.min, UTC)
