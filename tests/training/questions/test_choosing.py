"""Marks for choices and orders."""

import pytest

from tests.training.questions.workbook import BOOK, DROP, ORDER, SEVERAL, spec, table
from training.questions.choosing import mark_choice, read_choice
from training.questions.draw import draw
from training.questions.item import Part
from training.questions.marking import mark
from training.questions.reading import Unreadable
from training.questions.specs import Ask

ONE = {
    "kind": "one",
    "option": [
        {"text": "9.6 mV", "right": True, "fixed": True},
        {"text": "19.2 mV", "says": "both leads counted", "fixed": True},
        {"text": "Fire anyway", "says": "haste", "unsafe": True, "fixed": True},
    ],
}


@pytest.fixture
def several() -> Part:
    return draw(spec(SEVERAL), 1, book=BOOK).parts[0]


@pytest.fixture
def order() -> Part:
    return draw(spec(ORDER), 1, book=BOOK).parts[0]


@pytest.fixture
def one() -> Part:
    return draw(spec(SEVERAL, **ONE), 1, book=BOOK).parts[0]


def ids(part: Part, *texts: str) -> list[str]:
    names = {text: name for name, text in part.options}
    return [names[text] for text in texts]


class TestOne:
    def test_is_right_or_wrong(self, one: Part) -> None:
        """A wrong one tells what lies behind it."""
        assert mark_choice(one, ("a",)).share == 1
        found = mark_choice(one, ("b",))
        assert (found.share, found.flags, found.read) == (0, (), "19.2 mV")
        assert found.says == "Not right: 19.2 mV: both leads counted."

    def test_ends_a_reason_with_one_full_stop(self) -> None:
        """Authors write a few words or whole sentences."""
        part = Part(
            name="p",
            prompt="",
            ask=Ask.ONE,
            options=(("a", "A"), ("b", "B")),
            right=("a",),
            option_says={"b": "Not so."},
        )
        assert mark_choice(part, ("b",)).says == "Not right: B: Not so."

    def test_flags_an_unsafe_choice(self, one: Part) -> None:
        """It goes to the trainer's list."""
        found = mark_choice(one, ("c",))
        assert (found.share, found.flags) == (0, ("unsafe",))

    def test_names_the_misconception_behind_a_number(self) -> None:
        """An option made from a wrong computation keeps its key."""
        item = draw(spec(DROP, answer={**table(DROP)["answer"], "ask": "options"}), 1, book=BOOK)
        wrong = item.parts[0].wrong[0]
        chosen = next(name for name, text in item.parts[0].options if text.startswith(wrong.shown))
        found = mark(item, {"answer": chosen})[0]
        assert (found.share, found.misconception) == (0, "drop.half")
        assert mark(item, {"answer": item.parts[0].right[0]})[0].misconception is None


class TestSeveral:
    def test_takes_all_of_them_in_any_order(self, several: Part) -> None:
        """All right ones and no other."""
        chosen = ids(several, "Visor down", "Earth clamp on bright steel")
        assert mark_choice(several, tuple(chosen)).share == 1

    @pytest.mark.parametrize("extra", [[], ["Earth clamp on bright steel", "Count the shots"]])
    def test_gives_nothing_for_some(self, several: Part, extra: list[str]) -> None:
        """One left out or one too many earns nothing."""
        assert mark_choice(several, tuple(ids(several, "Visor down", *extra))).share == 0

    def test_gives_nothing_for_an_unsafe_one_beside_the_right(self, several: Part) -> None:
        """Whatever else was chosen."""
        texts = ("Visor down", "Earth clamp on bright steel", "Gun at the ready on the ballast")
        found = mark_choice(several, tuple(ids(several, *texts)))
        assert (found.share, found.flags) == (0, ("unsafe",))
        assert found.says == "Not right: Gun at the ready on the ballast: haste."

    def test_gives_nothing_for_none(self, several: Part) -> None:
        """No choice is blank."""
        assert mark_choice(several, ()).flags == ("blank",)

    def test_tells_a_wrong_option_without_words(self, several: Part) -> None:
        """Where the author gave no reason, the option stands alone."""
        bare = Part(name="p", prompt="", ask=several.ask, options=(("a", "A"), ("b", "B")), right=("a",))
        assert mark_choice(bare, ("a", "b")).says == "Not right: B."


class TestOrder:
    def test_takes_the_whole_order(self, order: Part) -> None:
        """Every line in its place."""
        found = mark_choice(order, order.order)
        assert (found.share, found.flags, found.says) == (1, (), "Right.")

    def test_counts_the_pairs_that_stand_right_and_gives_nothing(self, order: Part) -> None:
        """Swapping two neighbours of four leaves five of six pairs."""
        found = mark_choice(order, tuple(ids(order, "Isolate", "Clean", "Look", "Fire")))
        assert (found.share, found.flags) == (0, ())
        assert found.says == "5 of 6 pairs stand in the right order."

    def test_flags_a_pair_that_must_hold(self, order: Part) -> None:
        """Firing before isolating is unsafe."""
        found = mark_choice(order, tuple(ids(order, "Fire", "Clean", "Isolate", "Look")))
        assert (found.share, found.flags) == (0, ("unsafe",))
        assert found.says == "Isolate must come before Fire."


class TestReadChoice:
    def test_takes_a_single_id_or_a_list(self, one: Part) -> None:
        """Radio buttons send one, boxes send a list."""
        assert read_choice(one, "a") == read_choice(one, ["a"]) == ("a",)
        assert read_choice(one, "") == read_choice(one, []) == ()

    @pytest.mark.parametrize(("response", "says"), [(["z"], "printed"), (["a", "a"], "once"), (["a", "b"], "one only")])
    def test_asks_again_for_what_was_not_printed(self, one: Part, response: list[str], says: str) -> None:
        """An id that was never shown, twice the same, two where one is asked for."""
        with pytest.raises(Unreadable, match=says):
            read_choice(one, response)

    def test_asks_for_the_lines_that_have_no_place(self, order: Part) -> None:
        """An order with gaps cannot be marked."""
        with pytest.raises(Unreadable, match="all 4 lines in order; 2 have no place"):
            read_choice(order, ["a", "b"])
        assert read_choice(order, []) == ()
