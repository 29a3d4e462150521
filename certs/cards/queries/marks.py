"""The ledger's mark of a card: printed on it, it vouches for everything that was written before."""

from collections.abc import Collection

from training.ledger.models import Entry
from training.ledger.rules import SHORT


def ledger_marks(card_ids: Collection[int]) -> dict[int, str]:
    """Return the number and the short mark of the entry that issued each card, in one query."""
    issued = Entry.objects.filter(act__startswith="card issued", about__card__in=list(card_ids))
    return {about["card"]: f"{seq} {mark[:SHORT]}" for seq, mark, about in issued.values_list("seq", "mark", "about")}
