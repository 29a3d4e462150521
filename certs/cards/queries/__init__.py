"""Reading cards: `faces` how they stand, `keys` the keys that sign their codes."""

from certs.cards.queries.faces import (
    CardFace,
    Owing,
    card_numbered,
    cards,
    face,
    faces,
    newest,
    standings,
    steps_for,
)
from certs.cards.queries.histories import Happening, cards_with_acts, history
from certs.cards.queries.holdings import Holding, holdings
from certs.cards.queries.keys import KeyUnavailable, code_url, key_files, private_key, says, signing_key
from certs.cards.queries.lines import Pieces
from certs.cards.queries.marks import ledger_marks

__all__ = [
    "CardFace",
    "Happening",
    "Holding",
    "KeyUnavailable",
    "Owing",
    "Pieces",
    "card_numbered",
    "cards",
    "cards_with_acts",
    "code_url",
    "face",
    "faces",
    "history",
    "holdings",
    "key_files",
    "ledger_marks",
    "newest",
    "private_key",
    "says",
    "signing_key",
    "standings",
    "steps_for",
]
