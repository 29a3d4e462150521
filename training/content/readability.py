"""How hard a text is to read, as a school grade of the United States.

Source: Kincaid, Fishburne, Rogers and Chissom, Derivation of new readability formulas for Navy enlisted personnel,
Research Branch Report 8-75, 1975 (the constants 0.39, 11.8 and 15.59).
"""

import re
from collections.abc import Iterable

import pyphen  # type: ignore[import-untyped]

WORD = re.compile(r"[^\W\d_]+(?:['’\-][^\W\d_]+)*")
# A point inside a number ends no sentence.
END = re.compile(r"[.!?]+(?=\s|\Z)")


def grade(*, words: int, sentences: int, syllables: int) -> float:
    """Return the Flesch-Kincaid grade of counts, each 1 or more; a very easy text comes out below zero."""
    return 0.39 * words / sentences + 11.8 * syllables / words - 15.59


def syllables(word: str, *, language: str) -> int:
    """Count syllables as places where the word may be hyphenated, and one more.

    Single words come out one too low or too high; over a whole module the errors nearly cancel.
    Raises ValueError for a language without hyphenation rules.
    """
    if pyphen.language_fallback(language) is None:
        raise ValueError(f"no hyphenation rules are known for the language {language!r}")
    hyphens = pyphen.Pyphen(lang=language, left=1, right=1)
    return sum(len(hyphens.positions(part)) + 1 for part in re.split(r"['’\-]", word))


def reading_grade(passages: Iterable[str], *, language: str) -> float:
    """Return the Flesch-Kincaid grade of passages of whole sentences; figures do not count as words.

    Raises ValueError when there is no word in them, or no hyphenation for their language.
    """
    texts = [text for text in passages if WORD.search(text)]
    words = [word for text in texts for word in WORD.findall(text)]
    if not words:
        raise ValueError("there is no word to read")
    return grade(
        words=len(words),
        sentences=sum(max(1, len(END.findall(text))) for text in texts),
        syllables=sum(syllables(word, language=language) for word in words),
    )
