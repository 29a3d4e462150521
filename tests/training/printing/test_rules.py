"""Where lines break, what fits, and which way and in whose forms a text is written."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.printing import rules
from training.printing.rules import Room


def wide(text: str) -> float:
    """Every sign is one em wide."""
    return float(len(text))


class TestPieces:
    """Only the breaks that Unicode Standard Annex 14 surely allows."""

    @pytest.mark.parametrize(
        ("text", "parts"),
        [
            ("Ada Crew", ["Ada", "Crew"]),
            ("Jean-Luc", ["Jean-", "Luc"]),  # class HY
            ("8-12 mm", ["8-12", "mm"]),  # LB25: not between a hyphen and a digit
            ("用8毫米", ["用8毫", "米"]),  # LB14: between ideographs, class ID
            ("位置上。不在", ["位", "置", "上。不", "在"]),  # no line starts with a stop, class CL
            ("きょう", ["きょ", "う"]),  # nor with a small kana, class CJ
            ("김민수", ["김", "민", "수"]),
            ("محمد علي", ["محمد", "علي"]),
        ],
    )
    def test_are(self, text: str, parts: list[str]) -> None:
        """What stays whole."""
        assert [piece for _spaced, piece in rules.pieces(text)] == parts

    @given(st.text(alphabet="ab -–山田。ょカ12مح"))
    def test_keep_every_sign(self, text: str) -> None:
        """Put together again they are the text."""
        joined = "".join((" " if spaced else "") + piece for spaced, piece in rules.pieces(text))
        assert joined.removeprefix(" ") == rules.tidy(text)


class TestLines:
    """How many lines a text takes at most."""

    @pytest.mark.parametrize(
        ("text", "ems", "count"),
        [("", 5, 0), ("ab cd", 5, 1), ("ab cd", 4, 2), ("ab cd ef", 5, 2), ("abcdef", 5, None), ("山田太郎", 2, 2)],
    )
    def test_are_counted(self, text: str, ems: float, count: int | None) -> None:
        """A part wider than the line has no answer."""
        assert rules.lines(text, wide, ems) == count


class TestLargest:
    """The largest type in which a text fits."""

    # At 10 pt an em is 3.53 mm and a line 4.23 mm high (1 pt is 1/72 in of 25.4 mm).
    ROOM = Room(across=36, height=4.3, sizes=(10, 5))

    def test_steps_down(self) -> None:
        """Ten signs fit a line at 10 pt; the eleventh asks for the smaller type."""
        assert rules.largest("a" * 10, wide, self.ROOM) == rules.Fit(10, pytest.approx(10 * 1.2 * 25.4 / 72))
        assert rules.largest("a" * 11, wide, self.ROOM) == rules.Fit(5, pytest.approx(5 * 1.2 * 25.4 / 72))
        assert rules.largest("a" * 21, wide, self.ROOM) is None

    def test_uses_spare_height(self) -> None:
        """Two lines at 10 pt take what others leave."""
        assert rules.largest("aaaaaa aaaaaa", wide, self.ROOM, spare=4.3).size == 10  # type: ignore[union-attr]

    def test_refuses_what_is_too_high(self) -> None:
        """Words that could be broken are still too many."""
        assert rules.largest("aaaaa " * 12, wide, self.ROOM) is None


class TestRightToLeft:
    @pytest.mark.parametrize(
        ("text", "answer"), [("محمد", True), ("12 שלום", True), ("Ada محمد", False), ("", False), ("12", False)]
    )
    def test_follows_the_first_strong_letter(self, text: str, answer: bool) -> None:
        """Unicode Standard Annex 9, rule P2."""
        assert rules.right_to_left(text) is answer


class TestLanguageOf:
    @pytest.mark.parametrize(
        ("text", "tag"),
        [
            ("Ada", ""),
            ("山田たろう", "ja"),
            ("김민수", "ko"),
            ("王小明", "zh-Hans"),
            ("张伟", "zh-Hans"),  # U+5F20 is in GB 2312 only
            ("渡辺", "ja"),  # U+8FBA is in JIS X 0208 only
            ("歐陽", "ja"),  # in JIS X 0208 as an old form
            ("臺灣說", "zh-Hant"),  # U+8AAA is in Big5 only
            ("㐀", "zh-Hans"),
        ],
    )
    def test_is_told_by_the_signs(self, text: str, tag: str) -> None:
        """By script, then by the character set that holds them all."""
        assert rules.language_of(text) == tag
