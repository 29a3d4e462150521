"""Which question comes next in practice. Plain values only."""

from collections.abc import Collection, Mapping

from training.questions.stream import Draw

# So many questions of a subject on one day leave enough of the pool for a paper of the same day.
MOST_A_DAY = 10


def next_key(keys: Collection[str], shown: Mapping[str, int], *, barred: Collection[str], seed: str) -> str | None:
    """Return the key to ask next, one of those shown least often so far; none when every one is barred."""
    free = sorted(set(keys) - set(barred))
    if not free:
        return None
    fewest = min(shown.get(key, 0) for key in free)
    return Draw("practice", seed).pick([key for key in free if shown.get(key, 0) == fewest])
