"""A fault as the rows of a table: symptom, likely cause, check, remedy."""

import re

# In this order; the words are those of the content, in its language.
HEADS = ("Symptom", "Likely cause", "Check", "Remedy")
_HEAD = re.compile(rf"(?:^|(?<=\s))({'|'.join(HEADS)})( in this order)?: ")


def fault_rows(text: str) -> tuple[tuple[str, str], ...]:
    """Return the rows of a fault's text as (head, what it says); none where it is not written under the four heads."""
    start, *pieces = _HEAD.split(text.strip())
    heads, orders, says = pieces[::3], pieces[1::3], pieces[2::3]
    if start or tuple(heads) != HEADS:
        return ()
    named = (head + (order or "") for head, order in zip(heads, orders, strict=True))
    return tuple((head, _sentence(said)) for head, said in zip(named, says, strict=True))


def _sentence(text: str) -> str:
    said = text.strip()
    return said[:1].upper() + said[1:]
