"""What people type, made fit for the database and the readers."""

import pytest

from training.content import typed


def test_text_any_database_keeps() -> None:
    """No NUL, no half of a character, plain line ends, an end to it."""
    assert typed.plain(" a\x00\r\nb\rc\ud800 ") == "a\nb\nc?"
    assert len(typed.plain("x" * 9999)) == typed.LONGEST


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("1,5", "1.5"),
        ("-0,02", "-0.02"),
        ("−12", "-12"),
        ("1 250", "1250"),
        ("1,250", "1,250"),
        ("3.8", "3.8"),
        ("a lot", "a lot"),
    ],
)
def test_a_number_as_python_reads_it(text: str, read: str) -> None:
    """Three digits after a comma may be thousands, so they are left for the check to ask about."""
    assert typed.number(text) == read


def test_a_reason_is_a_sentence() -> None:
    """A reason about a value gets a subject; one that begins with the value keeps it in front."""
    assert typed.sentence("must be from 0 to 9") == "This must be from 0 to 9."
    assert typed.sentence("'x' is no unit") == "'x' is no unit."
    assert typed.sentence("no usable values") == "No usable values."


@pytest.mark.parametrize(
    ("reason", "said"),
    [
        ("is missing; write text", "Write something here."),
        ("is empty; write text", "Write something here."),
        ("is missing; write a list of texts", "Write at least one line."),
        ("is missing; write a whole number", "Give a whole number."),
    ],
)
def test_what_a_file_lacks_a_form_asks_for(reason: str, said: str) -> None:
    """Texts and lists are words of files."""
    assert typed.sentence(reason) == said
