"""Figures that may lie below zero are shown with the minus sign of mathematics, U+2212.

The Unicode Standard, 6.2, Dashes and Hyphens: the hyphen-minus U+002D of a keyboard is read as either.
"""

import re
from pathlib import Path

import pytest

from certs.jobs.forms import KitForm
from certs.templatetags.figures import minus

TEMPLATES = Path(__file__).parents[2] / "templates"
# Degrees, and a voltage that turns its sign when the leads are changed over.
BARE = re.compile(r"\{\{ [\w.]+(?:_c|_uv) \}\}")


class TestMinus:
    @pytest.mark.parametrize(("figure", "says"), [(-4.5, "−4.5"), ("-12.0", "−12.0"), (3, "3"), (0.0, "0.0")])
    def test_is_no_hyphen(self, figure: object, says: str) -> None:
        """Of a number or of its text."""
        assert minus(figure) == says

    def test_stands_in_every_template(self) -> None:
        """No reading that may be below zero is put into a page or a print as it is stored."""
        assert BARE.search("{{ one.air_c }} °C")
        assert [
            str(file.relative_to(TEMPLATES)) for file in TEMPLATES.rglob("*.html") if BARE.search(file.read_text())
        ] == []

    def test_stands_in_what_is_said_of_a_wrong_number(self) -> None:
        """The cells of a pack: below zero is allowed, and how far."""
        assert KitForm({"cells": "-99"}, cold=True).errors["cells"] == ["Give a number from −25 to 15."]
