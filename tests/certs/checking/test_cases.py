"""One file of cases for the Python code and for the script of the check page, and the answers that the script gives."""

import json
from collections.abc import Iterator
from dataclasses import asdict
from datetime import date, timedelta
from typing import Any

import pytest
from playwright.sync_api import Browser, Page
from pytest_django.live_server_helper import LiveServer

from certs.cards.code import CodeRefused, unseal
from certs.checking.code import unseal_keys, unseal_statuses
from certs.checking.rules import objection
from tests.browser import fresh
from tests.certs.checking.signing import CASES, cases, days_of_keys, said

FILE: dict[str, Any] = json.loads(CASES.read_text(encoding="utf-8"))
ROOT = bytes.fromhex(FILE["root"])
KEYS = {bytes.fromhex(name): bytes.fromhex(key) for name, key in FILE["keys"].items()}
PYTHON = {
    "card": lambda text: unseal(text, KEYS).says,
    "keys": lambda text: unseal_keys(text, ROOT),
    "cards": lambda text: unseal_statuses(text, KEYS),
}
# Opens every case and returns its facts under the names that the Python code uses, or null where it is refused.
SCRIPT = """async ({ file, fallback }) => {
  const { openCard, openKeys, openStatuses, Refused, hex } = await import("/static/certs/signed.js");
  if (fallback) crypto.subtle.importKey = () => Promise.reject(new Error("unknown here"));
  const verifier = "/static/training/vendor/ed25519/ed25519.js";
  const bytes = (text) => Uint8Array.from(text.match(/../g), (pair) => parseInt(pair, 16));
  const keys = new Map(Object.entries(file.keys).map(([name, key]) => [name, bytes(key)]));
  const readers = {
    card: async (text) => {
      const card = await openCard(text, keys, verifier);
      return { name: card.holder, number: card.number, scheme: card.scheme, valid_from: card.validFrom,
        last_day: card.lastDay, confirm_by: card.confirmBy, issued_on: card.issuedOn, place: card.place };
    },
    keys: async (text) => {
      const list = await openKeys(text, bytes(file.root), verifier);
      const rows = [...list.keys.values()].map((key) =>
        ({ public: hex(key.bytes), signs_from: key.from, signs_to: key.to, broken_on: key.broken }));
      return { sequence: list.sequence, made: list.made, keys: rows };
    },
    cards: async (text) => {
      const list = await openStatuses(text, keys, verifier);
      const statuses = hex(Uint8Array.from({ length: list.size }, (_none, place) => list.status(place)));
      return { sequence: list.sequence, made: list.made, good_until: list.goodUntil, statuses };
    },
  };
  const found = [];
  for (const { kind, text } of file.cases) {
    found.push(await readers[kind](text).catch((error) => {
      if (!(error instanceof Refused)) throw error;
      return null;
    }));
  }
  return found;
}"""


class TestFile:
    def test_is_what_the_code_makes(self) -> None:
        """A changed format shows here; write the file anew with the module's own line."""
        # Not the text of what is packed: another zlib may pack it otherwise.
        fixed = [{**case, "text": case["kind"] != "cards" and case["text"]} for case in FILE["cases"]]
        assert fixed == [{**case, "text": case["kind"] != "cards" and case["text"]} for case in cases()]

    @pytest.mark.parametrize("case", FILE["cases"], ids=lambda case: f"{case['kind']}-{case['name']}")
    def test_is_read_so_in_python(self, case: dict[str, Any]) -> None:
        """The facts, or CodeRefused and nothing else."""
        if case["says"] is None:
            with pytest.raises(CodeRefused):
                PYTHON[case["kind"]](case["text"])
        else:
            assert said(asdict(PYTHON[case["kind"]](case["text"]))) == case["says"]


class TestDaysOfKeys:
    """A card is issued within the days of the key that signs it: assessment rules of the reference, E5."""

    def test_are_what_the_file_holds(self) -> None:
        """Made by the module beside it."""
        assert FILE["days_of_keys"] == days_of_keys()

    @pytest.mark.parametrize("case", FILE["days_of_keys"])
    def test_bound_a_card_in_python(self, case: dict[str, Any]) -> None:
        """The word of the objection, or none."""
        days = {name: day_of(case[name]) for name in ("issued_on", "signs_from", "signs_to", "broken_on")}
        assert objection(**days) == case["says"]


def day_of(number: int | None) -> date | None:
    return None if number is None else date(1970, 1, 1) + timedelta(days=number)


@pytest.fixture
def page(live_server: LiveServer, browser: Browser, transactional_db: None) -> Iterator[Page]:
    context = fresh(browser, live_server.url)
    opened = context.new_page()
    opened.goto("/check/")
    yield opened
    context.close()


class TestScript:
    @pytest.mark.parametrize("fallback", [False, True], ids=["browser", "vendored"])
    def test_reads_them_so_too(self, page: Page, fallback: bool) -> None:
        """With the browser's own Ed25519, and with the one that is sent along."""
        found = page.evaluate(SCRIPT, {"file": FILE, "fallback": fallback})
        wrong = {
            case["name"]: (case["says"], says)
            for case, says in zip(FILE["cases"], found, strict=True)
            if case["says"] != says
        }
        assert wrong == {}

    def test_refuses_every_flipped_bit_of_a_card(self, page: Page) -> None:
        """As the Python code does: none passes, none raises anything else."""
        passed = page.evaluate(
            """async ({ file, text }) => {
              const { openCard, Refused } = await import("/static/certs/signed.js");
              const bytes = (text) => Uint8Array.from(text.match(/../g), (pair) => parseInt(pair, 16));
              const keys = new Map(Object.entries(file.keys).map(([name, key]) => [name, bytes(key)]));
              const plain = atob(text.replaceAll("-", "+").replaceAll("_", "/"));
              const raw = Uint8Array.from(plain, (one) => one.charCodeAt(0));
              const passed = [];
              for (let bit = 0; bit < raw.length * 8; bit += 1) {
                const flipped = raw.slice();
                flipped[bit >> 3] ^= 1 << (bit & 7);
                const again = btoa(String.fromCharCode(...flipped));
                const spelled = again.replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
                await openCard(spelled, keys, "").then(() => passed.push(bit), (error) => {
                  if (!(error instanceof Refused)) throw error;
                });
              }
              return passed;
            }""",
            {"file": FILE, "text": FILE["cases"][0]["text"]},
        )
        assert passed == []


DAY, NOON = 20782, 20782 * 86400 + 43200  # 25 Nov 2026, midday UTC
CARD = {"validFrom": DAY, "lastDay": DAY + 100, "confirmBy": DAY + 50, "issuedOn": DAY, "place": 1}
ENTRY = {"broken": None, "from": DAY - 10, "to": DAY + 10}
LIST = {"made": NOON - 3600, "goodUntil": NOON + 6 * 86400, "size": 4, "statuses": [0, 0, 1, 2]}


class TestVerdictOfDays:
    def test_is_that_of_python(self, page: Page) -> None:
        """The first word that speaks against the key, in the same cases."""
        found = page.evaluate(
            """async ({ cases, card, entry, list, day, now }) => {
              const { verdict } = await import("/static/certs/verdict.js");
              list.status = () => 0;
              return cases.map((one) => {
                const key = { from: one.signs_from, to: one.signs_to, broken: one.broken_on };
                const facts = { card: { ...card, issuedOn: one.issued_on }, entry: key, list, now, day, latest: now };
                const words = verdict(facts).reasons.map(([why]) => why);
                return words.find((why) => ["broken", "late", "young"].includes(why)) ?? null;
              });
            }""",
            {"cases": FILE["days_of_keys"], "card": CARD, "entry": ENTRY, "list": LIST, "day": DAY, "now": NOON},
        )
        assert found == [case["says"] for case in FILE["days_of_keys"]]


class TestVerdict:
    """Three answers: assessment rules of the reference, E3; common practice, no other source."""

    @pytest.mark.parametrize(
        ("changes", "answer", "reasons"),
        [
            ({}, "accept", ["good"]),
            ({"day": DAY + 50}, "accept", ["good"]),
            ({"list": None}, "telephone", ["nolist"]),
            ({"list": {"goodUntil": NOON - 1}}, "telephone", ["oldlist"]),
            ({"list": {"goodUntil": NOON}}, "accept", ["good"]),
            ({"card": {"place": 4}}, "telephone", ["newer"]),
            ({"day": DAY + 51}, "telephone", ["unconfirmed"]),
            ({"latest": NOON + 3601}, "telephone", ["clock"]),
            ({"latest": NOON + 3600}, "accept", ["good"]),
            ({"card": {"place": 2}}, "refuse", ["suspended"]),
            ({"card": {"place": 3}}, "refuse", ["withdrawn"]),
            ({"card": {"place": 3}, "list": {"statuses": [0, 0, 1, 3]}}, "refuse", ["replaced"]),
            ({"card": {"place": 3}, "list": {"goodUntil": NOON - 1}}, "refuse", ["withdrawn"]),
            ({"day": DAY - 1, "latest": 0}, "refuse", ["early"]),
            ({"day": DAY + 100}, "telephone", ["unconfirmed"]),
            ({"day": DAY + 101}, "refuse", ["lapsed"]),
            ({"latest": NOON + 101 * 86400}, "refuse", ["lapsed"]),
            ({"entry": {"broken": DAY + 5}}, "refuse", ["broken"]),
            ({"entry": {"to": DAY - 1}}, "refuse", ["late"]),
            ({"entry": {"to": DAY}}, "accept", ["good"]),
            ({"entry": {"from": DAY}}, "accept", ["good"]),
            ({"entry": {"from": DAY + 1}}, "refuse", ["young"]),
            ({"card": None}, "refuse", ["forged"]),
            ({"list": None, "day": DAY + 51}, "telephone", ["nolist", "unconfirmed"]),
        ],
    )
    def test_of_what_is_known(self, page: Page, changes: dict[str, Any], answer: str, reasons: list[str]) -> None:
        """An old list may refuse and never accepts; the later of clock and list is today."""
        facts: dict[str, Any] = {"card": CARD, "entry": ENTRY, "list": LIST}
        facts |= {"why": "forged", "now": NOON, "day": DAY, "latest": NOON - 3600}
        for name, value in changes.items():
            facts[name] = facts[name] | value if isinstance(value, dict) else value
        found = page.evaluate(
            """async (facts) => {
              const { verdict } = await import("/static/certs/verdict.js");
              if (facts.list) facts.list.status = (place) => facts.list.statuses[place];
              return verdict(facts);
            }""",
            facts,
        )
        assert (found["answer"], [reason[0] for reason in found["reasons"]]) == (answer, reasons)
