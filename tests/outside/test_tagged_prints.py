"""Printed pages as two partial checkers of tagged PDF find them (tests/accessible.py names the conditions)."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from certs.board import pdf as board
from certs.board.queries import Asked
from certs.cards.pdf import Layout, lay, press
from tests.accessible import read_aloud, reading_faults, structure_faults
from tests.bench.cards import faces, own_key
from tests.cast import AT, ON, Cast
from tests.training.procedures.content import module
from training.people.models import Person
from training.printing.pdf import Sheet, joined, render_pdf
from training.printing.pdf.press import REPORT
from training.procedures import operations
from training.procedures import pdf as booklets
from training.procedures.models import Revision

SCRIPTS = ["Łukasz Żółć", "Παπαδόπουλος", "Коновалов", "محمد علي", "山田太郎", "김민수"]


def cards(layout: Layout, language: str) -> bytes:
    with own_key():
        laid = [lay(replace(one, holder=name), language=language) for one, name in zip(faces(6), SCRIPTS, strict=True)]
    return press(laid, layout, title="Cards").content


def faults(content: bytes) -> list[str]:
    return structure_faults(content) + reading_faults(content)


class TestCards:
    @pytest.mark.parametrize("language", ["en", "es", "fr"])
    @pytest.mark.parametrize("layout", list(Layout))
    def test_are_clean_in_every_script(self, layout: Layout, language: str) -> None:
        """Cards of their own size, and sheets of ten and eight."""
        assert faults(cards(layout, language)) == []

    def test_stay_clean_when_parts_are_joined(self) -> None:
        """Each page is read as it was in its part."""
        parts = [cards(Layout.TEN, "en"), cards(Layout.TEN, "fr")]
        whole = joined(parts).content
        assert faults(whole) == []
        assert read_aloud(whole) == [page for part in parts for page in read_aloud(part)]

    def test_are_read_from_the_issuer_to_the_scope(self) -> None:
        """The front in the order in which a person looks at it: whose card, what for, who, which, when, where."""
        front = read_aloud(cards(Layout.CARDS, "en"))[0]
        order = ("Northern Board", "Rail bonds", "Łukasz", "Card number", "FB-0000", "Valid from", "Scope", "Fixing")
        places = [front.index(words) for words in order]
        assert places == sorted(places)


class TestOtherPrints:
    def test_booklet_is_clean(self, cast: Cast) -> None:
        """A procedure on paper."""
        operations.load([module()], at=AT)
        assert faults(booklets.render(Revision.objects.get())) == []

    def test_day_sheet_is_clean(self, cast: Cast) -> None:
        """The sheet of a crew."""
        assert faults(board.day(Person.objects.all(), Asked(on=ON, today=ON), at=AT)) == []


class TestCheckers:
    """Each finds what is wrong with a page made wrong."""

    @pytest.mark.parametrize(
        ("body", "fault"),
        [
            ("<h2>Second</h2>", "14-002"),
            ("<h1>First</h1><h3>Third</h3>", "14-003"),
            ("<table><tr><td>a</td></tr></table>", "15"),
        ],
    )
    def test_structure(self, body: str, fault: str) -> None:
        """Headings out of order, a table without headers."""
        made = render_pdf(f"<html lang=en><title>x</title><body>{body}", {}, sheet=REPORT).content
        assert [each.partition(":")[0] for each in structure_faults(made)] == [fault]

    def test_untagged_content(self, monkeypatch: pytest.MonkeyPatch) -> None:
        """A page whose marks were taken off is found by both."""
        from training.printing.pdf import finish  # noqa: PLC0415

        shorten: Callable[[bytes], bytes] = finish._shortened
        monkeypatch.setattr(finish, "_shortened", lambda page: shorten(page).replace(b"/MCID 0>>", b">>"))
        made = render_pdf("<html lang=en><title>x</title><p>One<p>Two", {}, sheet=Sheet(REPORT.css)).content
        assert any("01-005" in each for each in structure_faults(made))
        assert reading_faults(made) != []
