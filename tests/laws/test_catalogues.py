"""Translated words: what is shipped compiled is what is written beside it."""

import ast
import gettext
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.template import Engine
from django.templatetags.i18n import BlockTranslateNode, TranslateNode

from certs.cards.models import STEP_WORDS
from certs.visits.models import STEP_WORDS as VISIT_WORDS

LOCALE = Path(__file__).parents[2] / "templates" / "locale"
WRITTEN = sorted(LOCALE.rglob("*.po"))
PAIR = re.compile(r'^msgid (".*")\nmsgstr (".*")$', re.MULTILINE)
PLACE = re.compile(r"%\(\w+\)[sd]")
ROOT = Path(__file__).parents[2]
# Whatever leaves by mail or stands on a card: every text template, but for the words of the sign-in pages.
SIGN_IN = {
    path for folder in ("account", "mfa", "usersessions") for path in (ROOT / "templates" / folder).rglob("*.txt")
}
MAILS = sorted(set((ROOT / "templates").rglob("*.txt")) - SIGN_IN)
# Modules in which every translated sentence is one of a mail or of a card.
MODULES = (
    "certs/cards/pdf/words.py",
    "certs/management/commands/send_reminders.py",
    "certs/complaints/operations/telling.py",
    "certs/visits/operations/telling.py",
    "training/management/commands/ledger.py",
    "training/management/commands/send_refreshers.py",
    "training/people/operations/telling.py",
)
ASKS = {"_", "gettext", "gettext_lazy"}


def pairs(file: Path) -> dict[str, str]:
    """Return the words of a catalogue as written, without its head."""
    found = PAIR.findall(file.read_text(encoding="utf-8"))
    return {ast.literal_eval(one): ast.literal_eval(other) for one, other in found if one != '""'}


def of_template(file: Path) -> Iterator[tuple[str, str]]:
    """Yield each sentence of a template as Django itself parses it, with its plural or nothing."""
    nodes = Engine.get_default().from_string(file.read_text(encoding="utf-8")).nodelist
    for node in nodes.get_nodes_by_type(TranslateNode):
        yield str(node.filter_expression.var).strip("\"'"), ""
    for node in nodes.get_nodes_by_type(BlockTranslateNode):
        yield node.render_token_list(node.singular)[0], node.render_token_list(node.plural or [])[0]


def of_module(file: Path) -> Iterator[tuple[str, str]]:
    """Yield each sentence a module asks the catalogue for."""
    for call in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(call, ast.Call) and isinstance(call.func, ast.Name) and call.func.id in ASKS:
            yield ast.literal_eval(call.args[0]), ""


def wanted() -> list[tuple[str, str]]:
    """Return every sentence of a mail or a card: of templates, of modules, and the words for acts on a card."""
    found = [one for file in MAILS for one in of_template(file)]
    found += [one for name in MODULES for one in of_module(ROOT / name)]
    return (
        found
        + [(str(word), "") for word in (*STEP_WORDS.values(), *VISIT_WORDS.values())]
        + [("A new card was issued.", ""), ("Your sign-in link", "")]
    )


class TestMails:
    """Holders and supervisors are told in their language: nothing of a mail or a card's face is left in English."""

    def test_are_all_found(self) -> None:
        """The eight texts that leave by mail, and as many sentences as they have at least."""
        names = ["mail.txt", "item.txt", *["mail.txt"] * 2, "head.txt", "change_mail.txt", "link_mail.txt", "mail.txt"]
        assert [file.name for file in MAILS] == names
        assert len(set(wanted())) >= 70

    @pytest.mark.parametrize("file", WRITTEN, ids=lambda file: file.parts[-3])
    def test_are_translated_with_the_same_facts(self, file: Path) -> None:
        """One and many; the reader of compiled catalogues is Python's own."""
        with file.with_suffix(".mo").open("rb") as compiled:
            held = gettext.GNUTranslations(compiled)
        for one, many in wanted():
            for number in (1, 2):
                asked = many if many and number > 1 else one
                said = held.ngettext(one, many, number) if many else held.gettext(one)
                assert said != asked, f"not translated: {asked}"
                assert sorted(PLACE.findall(said)) == sorted(PLACE.findall(asked)), asked


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
