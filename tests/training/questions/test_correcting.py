"""Keys put right after papers were handed in."""

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.training.questions.workbook import BOOK, DROP, ORDER, SEVERAL, spec
from training.questions.correcting import DROPPED, Change, Unmatched, What, corrected, dropped, given_whole
from training.questions.draw import draw
from training.questions.item import Item
from training.questions.marking import mark

ONE = {
    "kind": "one",
    "option": [
        {"text": "Fire", "says": "haste", "unsafe": True},
        {"text": "Measure", "right": True},
        {"text": "Wait a while", "says": "habit"},
    ],
}


@pytest.fixture
def one() -> Item:
    """A question of three options, the third with a drawn number in it."""
    item = draw(spec(SEVERAL, **ONE), 3, book=BOOK)
    part = item.parts[0]
    options = tuple((name, text.replace("a while", "10 minutes")) for name, text in part.options)
    return replace(item, parts=(replace(part, options=options),))


def letter(item: Item, text: str) -> str:
    return next(name for name, shown in item.parts[0].options if shown == text)


def right(item: Item, *lines: str) -> Item:
    return corrected(item, [Change(what=What.RIGHT, part=item.parts[0].name, lines=lines)])


class TestRight:
    def test_takes_the_mark_from_the_old_key_and_gives_it_to_the_new(self, one: Item) -> None:
        """The line is found by its text; its gap takes whatever was drawn."""
        item = right(one, "Wait {rest} minutes")
        name = item.parts[0].name
        third = letter(one, "Wait 10 minutes")
        assert mark(item, {name: third})[0].share == 1
        assert mark(item, {name: letter(one, "Measure")})[0].share == 0
        assert third not in item.parts[0].option_says

    def test_takes_either_where_one_is_asked_for(self, one: Item) -> None:
        """Two right options, one choice: each alone is right; what was called unsafe no longer is."""
        item = right(one, "Measure", "Fire")
        name = item.parts[0].name
        assert [mark(item, {name: letter(one, text)})[0].share for text in ("Measure", "Fire")] == [1, 1]
        assert mark(item, {name: letter(one, "Wait 10 minutes")})[0].share == 0

    def test_wants_every_one_where_several_are_asked_for(self) -> None:
        """Several of them stay all or nothing."""
        item = draw(spec(SEVERAL), 1, book=BOOK)
        part = item.parts[0]
        texts = dict(part.options)
        item = right(item, *(texts[name] for name in texts))
        assert mark(item, {part.name: list(texts)})[0].share == 1
        assert mark(item, {part.name: list(texts)[:1]})[0].share == 0

    def test_refuses_a_line_that_is_not_on_the_paper_or_twice(self, one: Item) -> None:
        """Nothing is guessed."""
        for line in ("Go home", "{anything}"):
            with pytest.raises(Unmatched) as caught:
                right(one, line)
            assert caught.value.line == line


class TestOrder:
    def test_marks_by_the_new_order(self) -> None:
        """A pair that the new order breaks is no longer asked for; one that it keeps still is."""
        item = draw(spec(ORDER), 1, book=BOOK)
        part = item.parts[0]
        texts = dict(part.options)
        turned = [texts[name] for name in reversed(part.order)]
        new = corrected(item, [Change(what=What.ORDER, part=part.name, lines=tuple(turned))])
        assert mark(new, {part.name: list(reversed(part.order))})[0].share == 1
        assert mark(new, {part.name: list(part.order)})[0].share == 0
        assert new.parts[0].before == ()
        same = corrected(item, [Change(what=What.ORDER, part=part.name, lines=tuple(texts[n] for n in part.order))])
        assert same.parts[0].before == part.before


class TestTolerance:
    def test_takes_what_lies_within_the_new_widths(self) -> None:
        """Twice the key is right within 100 %; other parts are left alone."""
        item = draw(spec(DROP), 1, book=BOOK)
        part = item.parts[0]
        twice = f"{float(part.value) * 2:.3f} {part.unit}"
        assert mark(item, {part.name: twice})[0].share == 0
        wide = Change(what=What.TOLERANCE, part=part.name, relative=Fraction(11, 10))
        assert mark(corrected(item, [wide]), {part.name: twice})[0].share == 1
        assert corrected(item, [replace(wide, part="other")]) == item


class TestDrop:
    def test_gives_everyone_the_mark(self) -> None:
        """What was answered stays to be read; no flag of it does."""
        item = draw(spec(DROP), 1, book=BOOK)
        found = mark(item, {})[0]
        whole = given_whole(found)
        assert (whole.share, whole.flags, whole.says, whole.read) == (1, ("dropped",), DROPPED, found.read)

    def test_is_told_among_other_changes(self) -> None:
        """Once out, out."""
        drop, other = Change(what=What.DROP), Change(what=What.RIGHT, part="a", lines=("x",))
        assert dropped([drop, other])
        assert not dropped([other])
        assert corrected(draw(spec(SEVERAL), 1, book=BOOK), [drop]) == draw(spec(SEVERAL), 1, book=BOOK)


class TestChange:
    def test_is_stored_and_restored(self) -> None:
        """A third is no decimal and comes back a third."""
        for change in (
            Change(what=What.DROP),
            Change(what=What.ORDER, part="p", lines=("a", "b")),
            Change(what=What.TOLERANCE, part="p", absolute=Fraction(1, 3), relative=Fraction("0.02")),
        ):
            assert Change.from_json(change.as_json()) == change
