"""Mistakes in content, collected so that an author sees all of them in one run."""

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, order=True)
class Mistake:
    """One mistake: the file, the key inside it, and a sentence saying what is wrong and what to do."""

    file: str
    key: str
    reason: str

    def __str__(self) -> str:
        """Return one line for a list."""
        return f"{self.file}: {self.key}: {self.reason}" if self.key else f"{self.file}: {self.reason}"


class ContentErrors(ValueError):
    """Content was refused; ``mistakes`` holds every reason, sorted by file and key."""

    def __init__(self, mistakes: Iterable[Mistake]) -> None:
        """Keep the mistakes in reading order."""
        self.mistakes = tuple(sorted(set(mistakes)))
        super().__init__("\n".join(map(str, self.mistakes)))
