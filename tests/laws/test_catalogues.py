"""Translated words: what is shipped compiled is what is written beside it."""

import ast
import gettext
import re
from pathlib import Path

import pytest

LOCALE = Path(__file__).parents[2] / "templates" / "locale"
WRITTEN = sorted(LOCALE.rglob("*.po"))
PAIR = re.compile(r'^msgid (".*")\nmsgstr (".*")$', re.MULTILINE)
PLACE = re.compile(r"%\(\w+\)[sd]")


def pairs(file: Path) -> dict[str, str]:
    """Return the words of a catalogue as written, without its head."""
    found = PAIR.findall(file.read_text(encoding="utf-8"))
    return {ast.literal_eval(one): ast.literal_eval(other) for one, other in found if one != '""'}


class TestCatalogues:
    def test_are_there_for_both_languages(self) -> None:
        """Spanish and French, by their ISO 639-1 codes."""
        assert [file.relative_to(LOCALE).parts[0] for file in WRITTEN] == ["es", "fr"]

    @pytest.mark.parametrize("file", WRITTEN, ids=lambda file: file.parts[-3])
    def test_are_compiled_as_written(self, file: Path) -> None:
        """`msgfmt -o django.mo django.po` was run after the last change; the module is Python's own reader."""
        with file.with_suffix(".mo").open("rb") as compiled:
            held = gettext.GNUTranslations(compiled)
        written = pairs(file)
        assert len(written) > 10
        assert {word: held.gettext(word) for word in written} == written

    @pytest.mark.parametrize("file", WRITTEN, ids=lambda file: file.parts[-3])
    def test_keep_every_place_for_a_fact(self, file: Path) -> None:
        """A translation names the same facts; one that is left in English would be noticed here."""
        for word, other in pairs(file).items():
            assert sorted(PLACE.findall(word)) == sorted(PLACE.findall(other)), word
            assert other
