"""Every form and every door for records, sent anything: an answer, never a fault.

Forms are read from the pages themselves, so a new one is covered by its row in the permission table. Each is sent as
its page would send it, with a few fields replaced by what no page would send. FERRULE_FUZZ sets how often;
tests/laws/test_fuzz_places.py sends the worst to every place by itself, on both databases.
"""

import json
import os
from dataclasses import dataclass, field
from html.parser import HTMLParser
from urllib.parse import quote, urlsplit

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from certs.management.replay import Company
from tests.laws.test_pages import NOT_PAGES
from tests.laws.test_permissions import ACTORS, TABLE, world

TURNS = int(os.environ.get("FERRULE_FUZZ", "2"))
SENDERS = ("moira", "piet", "iver", "nadia")
# Doors that take a record as JSON, from a phone that kept it.
RECORDS = ("photos:keep", "signoffs:receive", "worklog:receive", "quizzes:keep")
TEXT = st.text(st.characters(), max_size=60)
HOSTILE = st.one_of(
    TEXT,
    st.sampled_from([
        "\0", "\ud800", "a\0b", "9" * 400, "-1", "0", "1e999", "NaN", "Infinity", "1/0", "true", "null", "[]", "{}",
        "2026-02-30", "9999-12-31", "0001-01-01", "00000000-0000-0000-0000-000000000000", "٣٫٥", "−4,5", "'", "\"><x>",
        "a" * 20_000, "9223372036854775808", "18446744073709551616", "\u202e", "=1+1",
    ]),
)  # fmt: skip
JSON = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(), st.floats(), HOSTILE),
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(TEXT, inner, max_size=3)),
    max_leaves=8,
)
RECORD = st.fixed_dictionaries(
    {}, optional={"made_by": JSON, "phone_time": JSON, "fields": JSON, "answers": JSON, "kind": JSON, "record": JSON}
)


@dataclass
class Form:
    """One form of a page, as it would be sent untouched; one that only asks goes by GET."""

    address: str
    has_file: bool = False
    only_asks: bool = False
    fields: dict[str, str] = field(default_factory=dict)
    files: set[str] = field(default_factory=set)


class Forms(HTMLParser):
    """The forms of a page."""

    def __init__(self, address: str) -> None:
        super().__init__()
        self.address = address
        self.found: list[Form] = []
        self.choice = ""
        self.is_open = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        facts = {name: value or "" for name, value in attrs}
        if tag == "form":
            self.is_open, asks = True, facts.get("method", "get").lower() == "get"
            address = facts.get("action") or self.address
            self.found.append(Form(address, "multipart" in facts.get("enctype", ""), only_asks=asks))
        elif self.is_open and tag in ("input", "textarea", "select", "button") and facts.get("name"):
            self._field(tag, facts)
        elif self.is_open and tag == "option" and self.choice and facts.get("value"):
            self.found[-1].fields[self.choice] = facts["value"]

    def _field(self, tag: str, facts: dict[str, str]) -> None:
        form, name = self.found[-1], facts["name"]
        self.choice = name if tag == "select" else ""
        if facts.get("type") == "file":
            form.files.add(name)
        elif facts.get("type") not in ("checkbox", "radio") or "checked" in facts or name not in form.fields:
            form.fields[name] = facts.get("value", "")

    def handle_endtag(self, tag: str) -> None:
        self.is_open = self.is_open and tag != "form"


def signed_in(company: Company, actor: str) -> Client:
    client = Client()
    client.force_login(company.people[actor])
    return client


def pages(company: Company, actor: str) -> list[str]:
    """The addresses of the pages this actor may open."""
    place = ACTORS.index(actor)
    return [
        reverse(name, kwargs=asked(company))
        for name, (asked, got, _posted) in TABLE.items()
        if got.split()[place] == "200" and name not in NOT_PAGES
    ]


def forms_of(company: Company, actor: str) -> list[Form]:
    """Every form this actor meets, once by address and fields."""
    client, found = signed_in(company, actor), {}
    for address in pages(company, actor):
        with transaction.atomic():
            reader = Forms(address)
            reader.feed(client.get(address).text)
            transaction.set_rollback(True)
        for form in reader.found:
            found[form.only_asks, urlsplit(form.address).path, *sorted(form.fields)] = form
    return list(found.values())


def send(client: Client, form: Form, data: dict[str, str], file: bytes) -> int:
    """Send a form as a browser would, whatever is in it, and undo what it did."""
    if form.has_file:
        sent: dict[str, object] = {name: value.encode("utf-8", "replace").decode() for name, value in data.items()}
        sent |= {name: SimpleUploadedFile("x", file) for name in form.files}
        return undone(client, form.address, sent, "multipart")
    body = "&".join(f"{quote(name)}={quote(value, errors='surrogatepass')}" for name, value in data.items())
    if form.only_asks:
        return undone(client, f"{urlsplit(form.address).path}?{body}")
    return undone(client, form.address, body, "application/x-www-form-urlencoded")


def undone(client: Client, address: str, body: object = None, kind: str = "") -> int:
    """Ask for an address, or send it something; whatever that does is undone."""
    more = {} if kind == "multipart" else {"content_type": kind}
    with transaction.atomic():
        answer = client.post(address, body, **more) if kind else client.get(address)
        if answer.streaming:
            list(answer.streaming_content)
        transaction.set_rollback(True)
    return answer.status_code


def faults(client: Client, form: Form) -> list[str]:
    """Send one form in many ways, and return what broke."""
    wrong: list[str] = []
    names = sorted(form.fields)

    @settings(max_examples=TURNS, suppress_health_check=list(HealthCheck), database=None, derandomize=TURNS < 10)
    @given(data=st.data())
    def tried(data: st.DataObject) -> None:
        chosen = data.draw(st.lists(st.sampled_from(names), min_size=1, unique=True)) if names else []
        sent = form.fields | {name: data.draw(HOSTILE) for name in chosen}
        file = data.draw(st.binary(max_size=40)) if form.has_file else b""
        try:
            status = send(client, form, sent, file)
        except Exception as fault:  # whatever it is, it is told with what was sent
            wrong.append(f"{form.address}: {fault!r} for {[(name, sent[name]) for name in chosen]!r:.300}")
        else:
            wrong.extend([f"{form.address}: {status}"] if status >= 500 else [])

    tried()
    return wrong


@pytest.mark.django_db
class TestEveryForm:
    @pytest.mark.parametrize("actor", SENDERS)
    def test_answers_anything(self, actor: str) -> None:
        company = world()
        wrong: list[str] = []
        forms = forms_of(company, actor)
        assert len(forms) > 5
        for form in forms:
            wrong += faults(signed_in(company, actor), form)
        assert wrong == []


@pytest.mark.django_db
class TestEveryDoor:
    @pytest.mark.parametrize("name", RECORDS)
    def test_answers_any_json(self, name: str) -> None:
        """What a phone kept may be torn, of another version, or made up."""
        company = world()
        asked, _got, posted = TABLE[name]
        codes = dict(zip(ACTORS, posted.split(), strict=True))
        actor = next(one for one in SENDERS if codes[one] in ("200", "302", "422"))
        address = reverse(name, kwargs=asked(company))
        wrong: list[str] = []

        @settings(
            max_examples=TURNS * 10, suppress_health_check=list(HealthCheck), database=None, derandomize=TURNS < 10
        )
        @given(body=st.one_of(JSON, RECORD, st.binary(max_size=60)), is_mine=st.booleans())
        def tried(body: object, is_mine: bool) -> None:
            if is_mine and isinstance(body, dict):
                body = body | {"made_by": company.people[actor].pk, "phone_time": "2026-11-25T09:00:00+00:00"}
            raw = body if isinstance(body, bytes) else json.dumps(body).encode()
            try:
                status = undone(signed_in(company, actor), address, raw, "application/json")
            except Exception as fault:
                wrong.append(f"{fault!r} for {raw!r:.300}")
            else:
                wrong.extend([f"{status} for {raw!r:.300}"] if status >= 500 else [])

        tried()
        assert wrong == []


class Broken(Client):
    """A site that falls over a NUL, as PostgreSQL does."""

    def post(self, path: str, data: object = None, **more: object) -> HttpResponse:
        if "%00" in str(data):
            raise ValueError
        return HttpResponse(status=302)


@pytest.mark.django_db
class TestTheLawItself:
    def test_reads_the_forms_of_a_page(self) -> None:
        """Fields as they stand, the last choice of a list, files apart, and which form only asks."""
        reader = Forms("/here/")
        reader.feed(
            '<form method="get"><input name="q"></form>'
            '<form method="post" enctype="multipart/form-data"><input name="a" value="1"><input type="file" name="f">'
            '<select name="s"><option value="">-</option><option value="2">two</option></select></form>'
        )
        asking, form = reader.found
        assert (asking.only_asks, asking.fields) == (True, {"q": ""})
        assert not form.only_asks
        assert (form.address, form.has_file, form.fields, form.files) == ("/here/", True, {"a": "1", "s": "2"}, {"f"})

    def test_tells_what_breaks(self, monkeypatch: pytest.MonkeyPatch) -> None:
        """A site made to fail fails: this law can see."""
        monkeypatch.setattr("tests.laws.test_fuzz_forms.TURNS", 60)
        assert faults(Broken(), Form("/x/", fields={"a": "b"}))
        assert not faults(Broken(), Form("/x/"))
