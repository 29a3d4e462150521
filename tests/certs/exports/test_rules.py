"""Cells that a spreadsheet program must not run, and identifiers of calendar entries."""

from datetime import date

import pytest

from certs.exports import rules

# The starts named by OWASP's page on CSV injection and by ASVS 5.0, 1.2.10, and ways to hide them.
PAYLOADS = [
    '=HYPERLINK("http://127.0.0.1/?"&A1,"Card")',
    "=1+1",
    "+1+1",
    "-2+3+cmd|' /C calc'!A0",
    "@SUM(A1:A9)",
    "\t=1+1",
    "\r=1+1",
    "\n=1+1",
    "|calc",
    "%0A=1+1",
    " =1+1",
    "\u00a0=1+1",
    "\ufeff=1+1",
    "＝1+1",
    "＋1",
    "－1",
    "＠SUM(A1)",
]


class TestHarmless:
    @pytest.mark.parametrize("text", PAYLOADS)
    def test_puts_an_apostrophe_before_a_formula(self, text: str) -> None:
        """Nothing else is changed."""
        assert rules.harmless(text) == f"'{text}"

    @pytest.mark.parametrize(
        "text", ["", " ", "Ada Crew", "O'Hara", "Zoë =", "5 % slope", "'=1", "FB-2345-6789", "\ufeff"]
    )
    def test_leaves_other_texts_alone(self, text: str) -> None:
        """Also what holds such a sign further on."""
        assert rules.harmless(text) == text


class TestUid:
    def test_names_a_cycle(self) -> None:
        """The number of the card is no part of it; the next cycle has another."""
        one = rules.uid("last day", person=1, scheme=2, anchor=date(2026, 11, 25), months=36, host="cards.example.org")
        same = rules.uid("last day", person=1, scheme=2, anchor=date(2026, 11, 25), months=36, host="cards.example.org")
        following = rules.uid(
            "last day", person=1, scheme=2, anchor=date(2026, 11, 25), months=72, host="cards.example.org"
        )
        assert one == same != following
        assert one.endswith("@cards.example.org")
        assert len(one) < 75  # so that its line is not folded (RFC 5545, 3.1), which some programs take badly


class TestDigest:
    def test_is_sha_256(self) -> None:
        """FIPS 180-4, the example message abc."""
        assert rules.digest("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
