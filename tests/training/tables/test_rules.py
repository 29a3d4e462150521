"""Cells that a spreadsheet program must not run."""

import pytest

from training.tables import rules

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
