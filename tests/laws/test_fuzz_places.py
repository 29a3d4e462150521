"""The worst that a field, an address and a record can hold, in each place by itself, on both databases.

PostgreSQL keeps no NUL in a text ("Character Types" in its manual), so there each field gets one; both count to
9223372036854775807 ("Numeric Types" there, "Datatypes in SQLite"). A form on several pages is sent from one.
"""

import json
import re
from collections.abc import Callable, Iterator
from itertools import cycle
from pathlib import Path

import pytest
from django.db import connection, transaction
from django.test import Client
from django.urls import NoReverseMatch, reverse

from certs.management.replay import Company
from tests.laws.test_fuzz_forms import RECORDS, Form, Forms, send, undone
from tests.laws.test_pages import NOT_PAGES
from tests.laws.test_permissions import ACTORS, TABLE, entered, world

ROOT = Path(__file__).resolve().parents[2]
# Who sees most comes first, and opens a page for all.
SENDERS = ("nadia", "iver", "piet", "moira")
NUL = "a\0b"
BEYOND = 9223372036854775808
OTHERS = ("9" * 30, "²", "NaN", "2026-02-30", "00000000-0000-0000-0000-00000000000g")
PARTS = ("made_by", "phone_time", "fields", "answers", "kind", "record", "page")
IN_A_PART = (NUL, "\ud800", 10**30, -1, True, float("inf"), None, [], {}, {NUL: "\ud800"}, {"x": {"x": [NUL]}})
# One browser for each answer: the answer to one form may be to be signed out.
Browsers = dict[str, Callable[[], Client]]
ASKED = re.compile(r'GET\.get(?:list)?\("(\w+)"')


def who_may(name: str, codes: str) -> str | None:
    """Return who sees most of those who get this answer from a URL."""
    got = TABLE[name][1 if codes == "200" else 2].split()
    return next((actor for actor in SENDERS if got[ACTORS.index(actor)] in codes.split()), None)


def forms(company: Company, browsers: Browsers) -> Iterator[tuple[Callable[[], Client], Form]]:
    """Every form there is, with somebody who may send it."""
    found = set()
    for name in TABLE:
        actor = who_may(name, "200")
        if actor is None or name in NOT_PAGES:
            continue
        reader = Forms(reverse(name, kwargs=TABLE[name][0](company)))
        with transaction.atomic():
            reader.feed(browsers[actor]().get(reader.address).text)
            transaction.set_rollback(True)
        for form in reader.found:
            mark = form.only_asks, *sorted(alike(form))
            if mark not in found:
                found.add(mark)
                yield browsers[actor], form


def alike(form: Form) -> dict[str, str]:
    """The fields of a form by their names without numbers and keys: one of those that are alike stands for all."""
    return {re.sub(r"[0-9a-f]{8}-[0-9a-f-]{27}|\d+", "", name): name for name in form.fields}


def wrong(what: str, status: int | Exception) -> list[str]:
    """Say what was sent where, if the answer is a fault."""
    return [f"{what:.300}: {status!r}"] if isinstance(status, Exception) or status >= 500 else []


def in_fields(browser: Callable[[], Client], form: Form) -> list[str]:
    """Send a form with each of its fields by itself at its worst, what stands for a row as one that cannot be."""
    found = []
    others = cycle(OTHERS)
    for field in alike(form).values():
        first = NUL if connection.vendor == "postgresql" else next(others)
        for worst in (first, str(BEYOND)) if form.fields[field].isdigit() else (first,):
            try:
                status: int | Exception = send(browser(), form, form.fields | {field: worst}, b"")
            except Exception as fault:  # whatever it is, it is told with what was sent
                status = fault
            found += wrong(f"{form.address} {field}={worst!r}", status)
    return found


def asked(client: Client, address: str) -> list[str]:
    """Ask for an address."""
    try:
        return wrong(address, undone(client, address))
    except Exception as fault:
        return wrong(address, fault)


def in_addresses(company: Company, browsers: Browsers) -> list[str]:
    """Ask for every page with each part of its address at its worst, and with all that any page reads of a query."""
    names = {name for room in ("training", "certs") for name in ASKED.findall(source(room))}
    query = "&".join(f"{name}=%00{name}" for name in sorted(names))
    found = []
    for name, (kwargs, _got, _posted) in TABLE.items():
        actor, parts = who_may(name, "200") or SENDERS[0], kwargs(company)
        found += asked(browsers[actor](), f"{reverse(name, kwargs=parts)}?{query}")
        for part, value in parts.items():
            worst = BEYOND if isinstance(value, int) else NUL
            try:
                found += asked(browsers[actor](), reverse(name, kwargs=parts | {part: worst}))
            except NoReverseMatch:
                continue  # the address itself takes no such thing
    return found


def source(room: str) -> str:
    """Return the views of a room's tree as one text."""
    return "\n".join(file.read_text(encoding="utf-8") for file in sorted((ROOT / room).rglob("*.py")))


def in_records(company: Company, browsers: Browsers) -> list[str]:
    """Send every door a record with each of its parts at its worst by itself."""
    found = []
    for name in RECORDS:
        actor = who_may(name, "200 302 422") or SENDERS[0]
        address = reverse(name, kwargs=TABLE[name][0](company))
        whole = {"made_by": company.people[actor].pk, "phone_time": company.now.isoformat(), "fields": {}}
        for part in PARTS:
            for worst in IN_A_PART:
                raw = json.dumps(whole | {part: worst})
                try:
                    status: int | Exception = undone(browsers[actor](), address, raw.encode(), "application/json")
                except Exception as fault:
                    status = fault
                found += wrong(f"{address} {raw}", status)
    return found


@pytest.mark.both
@pytest.mark.django_db
@pytest.mark.usefixtures("unprinted")
def test_every_place_takes_the_worst() -> None:
    """An answer, never a fault: PostgreSQL makes the company once for all of it."""
    company = world()
    browsers = {actor: entered(company, actor) for actor in SENDERS}
    found = [fault for browser, form in forms(company, browsers) for fault in in_fields(browser, form)]
    assert found + in_addresses(company, browsers) + in_records(company, browsers) == []
