"""What still stands between a person and a card that holds, and how long it takes. Plain values only."""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from certs.records.rules import Step

DAY = timedelta(days=1)
# Half a day each for reading the procedures, for the paper and with the trainer (common practice, no source): the
# last holds where the scheme states no duration.
READING, PAPER, TRAINER = Decimal("0.5"), Decimal("0.5"), Decimal("0.5")
# From the practical to the card where somebody else decides, in days (common practice, no source).
DECIDING = 7
# Days ahead that a trainer is asked (common practice, no source).
NOTICE = 3

_TO_THE_CARD = (Step.READ, Step.SIT, Step.PRACTICAL)
_BEGINS = {
    Step.READ: Step.READ,
    Step.GO_ON: Step.SIT,
    Step.WAIT: Step.SIT,
    Step.SIT: Step.SIT,
    Step.PRACTICAL: Step.PRACTICAL,
    Step.PRACTICAL_AGAIN: Step.PRACTICAL,
}
_BY_ONESELF = {Step.CONFIRM, Step.READ_CHANGED, Step.ANSWER}


@dataclass(frozen=True, slots=True)
class Way:
    """The steps that make a person's card hold, in order.

    From `from_on` a trainer can see the practical, everything before it being done by then; without a practical in it
    the card holds from that day. It holds to `until`. `trainer` and `person` are days of work of a trainer and of the
    person; `after` is how many days the decision takes. What is `arranged` already is for that very day, and costs
    nothing more.
    """

    hand: str
    scheme: str
    steps: tuple[Step, ...]
    from_on: date
    until: date
    trainer: Decimal
    person: Decimal
    after: int = 0
    arranged: bool = False

    def seen_until(self, last: date) -> date:
        """Return the last day on which a trainer can see the practical, where `last` is that of the plan."""
        return self.from_on if self.arranged else last

    @property
    def seen(self) -> bool:
        """Whether a trainer has to come."""
        return Step.PRACTICAL in self.steps


def ways_of(
    hand: str,
    scheme: str,
    step: Step,
    *,
    on: date,
    day: date | None = None,
    last_day: date | None = None,
    renew_from: date | None = None,
    trainer: Decimal | None = None,
    separate: bool = False,
) -> tuple[Way, ...]:
    """Return what a person can do for a card, from the `step` that comes next and the `day` that belongs to it.

    A card that holds is kept by what its step asks, to its `last_day`, and renewed from `renew_from` on. Nobody gets
    round a suspension here, and a card not yet valid needs nothing. What a person does alone takes a day at least.
    """
    found = []
    if step in _BY_ONESELF and last_day is not None:
        person = Decimal(0) if step is Step.CONFIRM else PAPER / 2
        found.append(Way(hand, scheme, (step,), on, last_day, Decimal(0), person))
    begins = _BEGINS.get(step)
    if begins is None and renew_from is not None and step in {*_BY_ONESELF, Step.NOTHING}:
        begins = Step.SIT
    if begins is not None:
        steps = _TO_THE_CARD[_TO_THE_CARD.index(begins) :]
        alone = sum((Step.READ in steps, Step.SIT in steps))
        earliest = max(on, renew_from or on, day if step is Step.WAIT and day is not None else on)
        lasts = TRAINER if trainer is None else trainer
        own = READING * (Step.READ in steps) + PAPER * (Step.SIT in steps)
        found.append(
            Way(
                hand,
                scheme,
                steps,
                earliest + max(1, alone) * DAY,
                date.max,
                lasts,
                own + lasts,
                DECIDING if separate else 0,
            )
        )
    return tuple(found)
