"""Clients that post without pause, by the doors of the site, and write down what they were told is kept.

A request that gets no answer is sent again with the same key until one comes, as a phone does.
"""

import http.client
import json
import threading
import time
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any
from urllib.parse import urlencode

from tests.cast import PASSWORD
from tests.certs.signoffs.making import typed

HOST, TOKEN, PATIENCE = "ferrule.example.org", "a" * 32, 30
FORM, RECORD = "application/x-www-form-urlencoded", "application/json"
NO_ANSWER = 0
# Signing issues the card under the one, a decision under the other (tests/certs/signoffs/making.py).
SCHEMES = SEPARATE, STRAIGHT = "separate", "straight"


@dataclass(frozen=True)
class Said:
    """An answer: its status (none where the connection ended), headers and body."""

    status: int
    headers: Mapping[str, str] = field(default_factory=dict)
    body: bytes = b""


def ask(port: int, path: str, *, session: str = "", data: bytes | None = None, kind: str = FORM) -> Said:
    """Ask through a proxy that ended TLS, signed in by a session; `data` makes it a POST."""
    headers = {
        "Host": HOST, "X-Forwarded-Proto": "https", "Referer": f"https://{HOST}/", "X-CSRFToken": TOKEN,
        "Cookie": f"__Host-session={session}; __Host-csrf={TOKEN}", "Accept": RECORD, "Content-Type": kind,
    }  # fmt: skip
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE)
    try:
        connection.request("GET" if data is None else "POST", path, body=data, headers=headers)
        answer = connection.getresponse()
        return Said(answer.status, dict(answer.getheaders()), answer.read())
    except (http.client.HTTPException, OSError):
        return Said(NO_ANSWER)
    finally:
        connection.close()


@dataclass
class Book:
    """What was acknowledged: the last answer of each paper, the sheets, the signatures, the decisions.

    `tried` is the last answer sent, which may be kept without anybody having been told. `carded` are the signatures and
    the decisions that issue a card.
    """

    answers: dict[tuple[str, int], int] = field(default_factory=dict)
    tried: dict[tuple[str, int], int] = field(default_factory=dict)
    sheets: set[str] = field(default_factory=set)
    signed: set[str] = field(default_factory=set)
    decided: set[str] = field(default_factory=set)
    carded: set[str] = field(default_factory=set)
    told: Counter[str] = field(default_factory=Counter)
    statuses: Counter[int] = field(default_factory=Counter)
    strange: list[str] = field(default_factory=list)
    hasty: list[str] = field(default_factory=list)

    @property
    def kept(self) -> int:
        """How many times something was said to be kept."""
        return self.told.total()

    def heard(self, said: Said, path: str, *, good: frozenset[int]) -> bool:
        """Count an answer; note one that is neither good nor `come again later`, and one that forgets to say when."""
        self.statuses[said.status] += 1
        if said.status in good:
            return True
        if said.status == 503 and "Retry-After" not in said.headers:
            self.hasty.append(path)
        if said.status not in {NO_ANSWER, 503}:
            self.strange.append(f"{said.status} {path} {said.headers.get('Location', '')} {said.body[:300]!r}")
        return False


class Clients:
    """Takers who answer, assessors who send sheets, sign and have them decided: one thread each, until told to stop."""

    def __init__(self, port: int, ground: Mapping[str, Any], *, takers: int = 2, assessors: int = 2) -> None:
        self.port, self.ground, self.book = port, ground, Book()
        self.stopping = threading.Event()
        self.lock = threading.Lock()
        self.candidates = iter(ground["candidates"])
        work = [(self.taker, one) for one in ground["takers"][:takers]]
        work += [(self.assessor, ground["assessors"][start::assessors]) for start in range(assessors)]
        self.threads = [threading.Thread(target=act, args=(one,), daemon=True) for act, one in work]

    def __enter__(self) -> "Clients":
        for thread in self.threads:
            thread.start()
        return self

    def __exit__(self, *fault: object) -> None:
        self.stopping.set()
        for thread in self.threads:
            thread.join(2 * PATIENCE)

    def until_kept(self, more: int, *, within: float = PATIENCE) -> None:
        """Wait until so many more acts are kept."""
        wanted, end = self.book.kept + more, time.monotonic() + within
        while self.book.kept < wanted:
            assert time.monotonic() < end, (self.book.statuses, self.book.strange[:3])
            time.sleep(0.01)

    def taker(self, one: Mapping[str, Any]) -> None:
        """Answer one question of a paper with 1, 2, 3 volts and so on."""
        place, path = one["place"], f"/papers/sittings/{one['sitting']}/keep/?only={one['place']}"
        number = 0
        while not self.stopping.is_set():
            number += 1
            self.book.tried[one["sitting"], place] = number
            # One page throughout, so that no answer of its own is newer than the page.
            data = urlencode({f"q{place}-answer": str(number), "page": f"{place:032x}"}).encode()
            if self.sent(path, one["session"], data, FORM, good=frozenset({200})):
                self.book.answers[one["sitting"], place] = number
                self.note("answer")

    def assessor(self, several: list[Mapping[str, Any]]) -> None:
        """Have candidate after candidate carded, by the signature and by a decision in turn."""
        for turn, candidate in enumerate(self.candidates_one_by_one()):
            one, sheet = several[turn % len(several)], sheet_of(candidate, SCHEMES[turn % len(SCHEMES)])
            if self.stopping.is_set() or not self.carded(one, sheet):
                return

    def carded(self, one: Mapping[str, Any], sheet: Mapping[str, Any]) -> bool:
        """Send the sheet of a candidate, sign it, and grant the card where the signature did not issue it."""
        key, is_separate = sheet["key"], sheet["scheme"] == SEPARATE
        raw = json.dumps({"made_by": one["person"], "phone_time": sheet["phone_time"], "fields": sheet}).encode()
        if not self.sent(f"/signoffs/received/{key}/", one["session"], raw, RECORD, good=frozenset({200, 201})):
            return False
        self.note("sheet", key, self.book.sheets)
        data = urlencode({"password": PASSWORD, f"confirm_{key}": "on"}).encode()
        if not self.sent(f"/signoffs/sheets/{key}/", one["session"], data, FORM, good=frozenset({302})):
            return False
        self.note("signature", key, self.book.signed, *(() if is_separate else (self.book.carded,)))
        if is_separate:
            data = urlencode({"granted": "yes", "reasons": "Paper and practical met."}).encode()
            session = self.ground["decider"]["session"]
            if not self.sent(f"/signoffs/{key}/decide/", session, data, FORM, good=frozenset({302})):
                return False
            self.note("decision", key, self.book.decided, self.book.carded)
        return True

    def candidates_one_by_one(self) -> Any:
        """Hand out each candidate once, whichever thread asks."""
        while True:
            with self.lock:
                candidate = next(self.candidates, None)
            if candidate is None:
                return
            yield candidate

    def sent(self, path: str, session: str, data: bytes, kind: str, *, good: frozenset[int]) -> bool:
        """Send the same bytes until they are kept; False where the drill ends first or the answer is strange."""
        while True:
            said = ask(self.port, path, session=session, data=data, kind=kind)
            with self.lock:
                heard = self.book.heard(said, path, good=good)
            if heard:
                return True
            if said.status not in {NO_ANSWER, 503} or self.stopping.is_set():
                return False
            time.sleep(0.05)

    def note(self, what: str, key: str = "", *among: set[str]) -> None:
        """Count one more that was said to be kept, and write down its key."""
        with self.lock:
            for keys in among:
                keys.add(key)
            self.book.told[what] += 1


def sheet_of(candidate: int, scheme: str = STRAIGHT) -> dict[str, Any]:
    """Return the sheet of a practical of yesterday."""
    now = datetime.now(UTC)
    day = (now - timedelta(days=1)).date().isoformat()
    until = (now + timedelta(days=30)).date().isoformat()
    changes = {"assessed_on": day, "volt_until": until, "set_until": until, "phone_time": now.isoformat()}
    return typed(_Numbered(candidate), scheme=scheme, **changes)  # type: ignore[arg-type]


@dataclass(frozen=True)
class _Numbered:
    pk: int
