"""Finding people by name: what is forgiven and what is not."""

import pytest
from django.db.models import QuerySet
from hypothesis import example, given
from hypothesis import strategies as st

from tests.cast import Cast, person
from training.people.models import Person
from training.people.queries import named
from training.people.rules import Role, begins, folded, slips


def distance(one: str, other: str) -> int:
    """Return how many slips part two words: Damerau (1964), computed over the whole table as in Wagner and Fischer."""
    rows = [[i + j if not i * j else 0 for j in range(len(other) + 1)] for i in range(len(one) + 1)]
    for i in range(1, len(one) + 1):
        for j in range(1, len(other) + 1):
            rows[i][j] = min(rows[i - 1][j] + 1, rows[i][j - 1] + 1, rows[i - 1][j - 1] + (one[i - 1] != other[j - 1]))
            if i > 1 and j > 1 and one[i - 1] == other[j - 2] and one[i - 2] == other[j - 1]:
                rows[i][j] = min(rows[i][j], rows[i - 2][j - 2] + 1)
    return rows[-1][-1]


def meant(pattern: str, word: str) -> bool:
    """Say whether a pattern is a word, `_` standing for any one character."""
    return len(pattern) == len(word) and all(a in ("_", b) for a, b in zip(pattern, word, strict=True))


class TestFolded:
    @pytest.mark.parametrize(
        ("name", "kept"),
        [
            ("Łukasz Żółć", " lukasz zolc"),
            ("Søren Þór", " soren thor"),
            ("José-María  O’Brien", " jose maria obrien"),
            ("GROẞE Straße", " grosse strasse"),
            ("Ярослав", " ярослав"),
            (" - ", ""),
        ],
    )
    def test_leaves_plain_letters(self, name: str, kept: str) -> None:
        """Marks, capitals, apostrophes and hyphens are gone; letters of other scripts stay."""
        assert folded(name) == kept

    @given(st.text(max_size=40))
    @example("\U0001d4d0")
    def test_is_the_same_twice(self, text: str) -> None:
        """What was folded has nothing left to fold, and holds no sign that means something in a pattern."""
        assert folded(folded(text)) == folded(text)
        assert not set("%_\\") & set(folded(text))


class TestBegins:
    def test_as_the_search(self) -> None:
        """Each word typed begins one of the name, in any order; a slip does not."""
        assert all(begins("Zoë Löwe-Ortiz", text) for text in ("zoe", "ORT zo", "lowe ortiz", ""))
        assert not any(begins("Zoë Löwe-Ortiz", text) for text in ("zeo", "zoe x", "rtiz"))


class TestSlips:
    def test_are_none_for_a_short_word(self) -> None:
        """Three letters with one wrong are another name."""
        assert slips("ann") == ()

    @given(st.text("abcd", min_size=4, max_size=7), st.text("abcd", min_size=1, max_size=8))
    def test_are_the_words_one_slip_apart(self, word: str, other: str) -> None:
        """A pattern fits exactly what is one slip apart, but for a letter after the end, which a beginning allows."""
        fits = any(meant(pattern, other) for pattern in slips(word)) or other == word
        longer = len(other) == len(word) + 1 and other.startswith(word)
        assert (fits or longer) is (distance(word, other) <= 1)


class TestNamed:
    def found(self, text: str, people: QuerySet[Person] | None = None) -> list[str]:
        every = Person.objects.all() if people is None else people
        return sorted(named(every, text).values_list("name", flat=True))

    @pytest.fixture(autouse=True)
    def people(self, cast: Cast) -> None:
        for number, name in enumerate(["Łucja Thomson", "Lucía Tompson", "Anne-Marie O’Hara", "Jan Øster"]):
            person(f"n{number}", name, cast.northmoor, Role.CREW)

    @pytest.mark.parametrize(
        ("text", "names"),
        [
            ("oster", ["Jan Øster"]),
            ("ØSTER jan", ["Jan Øster"]),
            ("luc", ["Lucía Tompson", "Łucja Thomson"]),
            ("thomson", ["Łucja Thomson"]),
            ("thompson", ["Lucía Tompson", "Łucja Thomson"]),
            ("htomson", ["Łucja Thomson"]),
            ("thmoson", ["Łucja Thomson"]),
            ("annemarie ohara", ["Anne-Marie O’Hara"]),
            ("thxmsxn", []),
            ("jam", []),
            ("%", []),
            ("_quin", ["Quin Stranger"]),
            ("omson", []),
        ],
    )
    def test_forgives_one_slip_a_word(self, text: str, names: list[str]) -> None:
        """Only where nothing begins as typed; a part from the middle of a word is not asked for."""
        assert self.found(text) == names

    def test_forgives_within_what_may_be_seen(self, cast: Cast) -> None:
        """A stranger of the very name keeps nobody from being found."""
        assert self.found("quin strangr", Person.objects.filter(employer=cast.northmoor)) == []
        assert self.found("quin strangr") == ["Quin Stranger"]

    def test_follows_a_changed_name(self, cast: Cast) -> None:
        """The column for searching is saved with the name, and stays where the name is not saved."""
        cast.ada.name = "Ada Nowak"
        cast.ada.save(update_fields=["name"])
        assert self.found("nowak") == ["Ada Nowak"]
