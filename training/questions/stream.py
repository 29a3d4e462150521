"""A stream of fair draws that is the same on every machine and every Python, for ever.

Of the ``random`` module only ``random()`` itself is promised stable between versions (Python documentation,
"Notes on Reproducibility"), so the stream is SHA-256 over key, seed and a counter instead.
"""

import hashlib
from collections.abc import Sequence
from typing import TypeVar

_Thing = TypeVar("_Thing")
_SPAN = 1 << 64


class Draw:
    """Draws for one question and one seed."""

    def __init__(self, key: str, seed: str | int) -> None:
        """Start the stream; the separators cannot occur in a key, so no two pairs share one."""
        self._start = f"{key}\x1f{seed}\x1e".encode()
        self._counter = 0

    def below(self, count: int) -> int:
        """Return a whole number from 0 up to but not including ``count`` (1 to 2^64), each equally likely."""
        fair = _SPAN - _SPAN % count
        while True:
            block = hashlib.sha256(self._start + str(self._counter).encode()).digest()
            self._counter += 1
            number = int.from_bytes(block[:8], "big")
            if number < fair:
                return number % count

    def pick(self, things: Sequence[_Thing]) -> _Thing:
        """Return one of the things."""
        return things[self.below(len(things))]

    def shuffle(self, things: Sequence[_Thing]) -> list[_Thing]:
        """Return the things in a fair random order (Fisher and Yates, from the end)."""
        mixed = list(things)
        for last in range(len(mixed) - 1, 0, -1):
            other = self.below(last + 1)
            mixed[last], mixed[other] = mixed[other], mixed[last]
        return mixed
