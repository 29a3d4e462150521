"""User names for people who bring none."""

from collections.abc import Container

from training.people.rules import folded

LONGEST = 40


def proposed(name: str, taken: Container[str]) -> str:
    """Return a free user name of the first letter and the last word of a name, or of `crew` for another script."""
    words = ["".join(letter for letter in word if letter.isascii()) for word in folded(name).split()]
    plain = [word for word in words if word]
    base = (f"{plain[0][0]}.{plain[-1]}" if len(plain) > 1 else "".join(plain) or "crew")[:LONGEST]
    number, found = 1, base
    while found in taken:
        number += 1
        found = f"{base}{number}"
    return found
