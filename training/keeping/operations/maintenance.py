"""The site closed for maintenance: a file, so that it holds without a database."""

from pathlib import Path

from django.conf import settings


def flag() -> Path:
    """Return the file whose presence closes the site; its text is what people read."""
    return Path(settings.DATA_DIR) / "closed.txt"


def close(words: str) -> None:
    """Close the site for everyone, with the words people read."""
    flag().write_text(words, encoding="utf-8")


def reopen() -> bool:
    """Open it again; say whether it was closed."""
    was = flag().exists()
    flag().unlink(missing_ok=True)
    return was
