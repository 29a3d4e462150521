"""Reading cards: `faces` how they stand, `checks` the public answer and the signed code."""

from certs.cards.queries.checks import Answer, Checked, KeyUnavailable, check, check_code, code_url, signing_key
from certs.cards.queries.faces import (
    CardFace,
    Owing,
    card_numbered,
    cards,
    face,
    faces,
    history,
    newest,
    standings,
    steps_for,
)

__all__ = [
    "Answer",
    "CardFace",
    "Checked",
    "KeyUnavailable",
    "Owing",
    "card_numbered",
    "cards",
    "check",
    "check_code",
    "code_url",
    "face",
    "faces",
    "history",
    "newest",
    "signing_key",
    "standings",
    "steps_for",
]
