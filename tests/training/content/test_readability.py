"""The reading grade, against counts printed elsewhere and against another way of counting."""

import re

import pytest

from training.content.readability import grade, reading_grade, syllables

PLAIN = (
    "Lay everything on a dry sheet in the order you will use it. Look along both leads for cuts. "
    "Measure each battery, then the whole pack, and write down 38.0 V and the time. "
    "A fault found on the sheet costs a minute, but a fault found later costs a bad bond."
)


def vowel_groups(word: str) -> int:
    """Count syllables the other usual way: groups of vowels, less a silent e at the end."""
    groups = len(re.findall("[aeiouy]+", word.lower()))
    return max(1, groups - (word.endswith("e") and not word.endswith("le")))


class TestGrade:
    def test_agrees_with_a_printed_example(self) -> None:
        """13 words, 24 syllables, one sentence: 11.3 (Wikipedia, Flesch-Kincaid readability tests, read in a copy)."""
        assert round(grade(words=13, sentences=1, syllables=24), 1) == 11.3

    def test_has_the_published_floor(self) -> None:
        """One word of one syllable a sentence gives -3.40, the lowest there is (worked out from the formula)."""
        assert grade(words=7, sentences=7, syllables=7) == pytest.approx(-3.40)


class TestSyllables:
    @pytest.mark.parametrize(
        ("word", "count"), [("pin", 1), ("mammal", 2), ("hybrid", 2), ("copper", 2), ("earth-clamp", 2), ("don't", 2)]
    )
    def test_counts_plain_words(self, word: str, count: int) -> None:
        """Parts at a hyphen or apostrophe count by themselves."""
        assert syllables(word, language="en") == count


class TestReadingGrade:
    def test_is_the_formula_on_counted_words(self) -> None:
        """Six words of one syllable, one sentence, no full stop: 0.39 x 6 + 11.8 - 15.59."""
        assert reading_grade(["The cat sat on the mat"], language="en") == pytest.approx(-1.45)

    def test_ends_no_sentence_inside_a_number_and_counts_no_figure(self) -> None:
        """38.0 is neither a word nor two sentences."""
        assert reading_grade(["Read at 38.0 V now."], language="en") == reading_grade(["Read at V now."], language="en")

    def test_passes_over_what_holds_no_word(self) -> None:
        """An empty caution, a bare figure."""
        assert reading_grade(["", "12.", "Go now."], language="en") == reading_grade(["Go now."], language="en")

    def test_comes_within_a_grade_of_another_way_of_counting(self) -> None:
        """Hyphenation errs on single words; over a text the errors nearly cancel."""
        words = re.findall(r"[A-Za-z]+", PLAIN)
        other = grade(words=len(words), sentences=4, syllables=sum(map(vowel_groups, words)))
        assert reading_grade([PLAIN], language="en") == pytest.approx(other, abs=1)

    def test_needs_a_word(self) -> None:
        """Nothing to read has no grade."""
        with pytest.raises(ValueError, match="no word"):
            reading_grade(["12", ""], language="en")

    def test_needs_a_language_it_knows(self) -> None:
        """Better no grade than one by another language's rules."""
        with pytest.raises(ValueError, match="no hyphenation rules are known for the language 'xx'"):
            reading_grade(["Pin."], language="xx")
