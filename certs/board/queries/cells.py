"""What a person holds under a scheme, in words."""

from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from django.utils.formats import date_format
from django.utils.text import slugify
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from certs.board.queries.words import DAYS, WORDS
from certs.cards.queries import Holding
from certs.cards.rules import Standing

SHAPES = {standing: slugify(standing) for standing in Standing}


@dataclass(frozen=True, slots=True)
class Cell:
    """What a person holds under a scheme; without a number there is no card."""

    scheme: str
    standing: Standing | None
    words: str
    shape: str
    says: str = ""
    note: str = ""
    number: str = ""
    owed: tuple[str, ...] = ()


class Say:
    """What is said of the cards of one page: the words of each standing are looked up in the catalogue once."""

    def __init__(self) -> None:
        self.words = {standing: str(words) for standing, words in WORDS.items()}
        self.days = {standing: str(words) for standing, words in DAYS.items()}
        self.confirmed = _("work confirmed to %(day)s")
        self.language = get_language() or ""

    def cell(self, held: Holding | None, title: str) -> Cell:
        """Say in words what a person holds under the scheme of that title."""
        if held is None:
            return Cell(title, None, self.words[None], "none")
        standing = held.standing
        return Cell(
            title,
            standing,
            self.words[standing],
            SHAPES[standing],
            self.days[standing] % {"day": _day(held.day, self.language)},
            held.warning or self._confirmed(held),
            held.number,
            tuple(one.words for one in held.owed),
        )

    def _confirmed(self, held: Holding) -> str:
        # A card that ends no later needs no more confirmation.
        if not held.standing.holds or held.confirmed_to >= held.last_day:
            return ""
        return self.confirmed % {"day": _day(held.confirmed_to, self.language)}


@lru_cache(maxsize=8192)
def _day(day: date, language: str) -> str:
    """Write a day in the language in use; a board has a hundred."""
    return date_format(day)
