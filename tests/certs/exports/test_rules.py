"""Identifiers of calendar entries, and what is kept of a secret."""

from datetime import date

from certs.exports import rules


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
