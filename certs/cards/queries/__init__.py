"""Reading cards: `faces` how they stand, `keys` the keys that sign their codes."""

from certs.cards.queries.faces import (
    CardFace,
    Holding,
    Owing,
    card_numbered,
    cards,
    face,
    faces,
    history,
    holdings,
    newest,
    standings,
    steps_for,
)
from certs.cards.queries.keys import KeyUnavailable, code_url, key_files, private_key, says, signing_key

__all__ = [
    "CardFace",
    "Holding",
    "KeyUnavailable",
    "Owing",
    "card_numbered",
    "cards",
    "code_url",
    "face",
    "faces",
    "history",
    "holdings",
    "key_files",
    "newest",
    "private_key",
    "says",
    "signing_key",
    "standings",
    "steps_for",
]
