"""What is remembered of a topic, and when it is next refreshed. Plain days and outcomes, never a mark.

The plan is that of the package ``fsrs`` with its default weights: one memory a person and topic, due again when recall
has fallen to 80 %, at the latest after 180 days, so that each falls before the next six-monthly confirmation of work.
Steps within a day are left out and nothing is drawn by chance, so the same past gives the same plan for ever.
It fits knowledge. The hand fades otherwise: see ``hand_days``.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from enum import StrEnum
from fractions import Fraction
from math import log2

from fsrs import Card, Rating, Scheduler, State

from training.questions.stream import Draw

RECALL = 0.80
LONGEST_DAYS = 180
QUESTIONS = 3
SCHEDULER = Scheduler(
    desired_retention=RECALL,
    learning_steps=(),
    relearning_steps=(),
    maximum_interval=LONGEST_DAYS,
    enable_fuzzing=False,
)
DECAY = SCHEDULER.parameters[20]
FACTOR = 0.9 ** (-1 / DECAY) - 1
# Tatel and Ackerman, Psychological Bulletin, 1344 effects of 457 reports: half of the gain in accuracy is gone by then.
HALF_LIFE_MONTHS = 6.5
DAYS_A_MONTH = 365.25 / 12
# A refresher that is left undone is named in a mail again after this time.
QUIET_DAYS = 7


class Outcome(StrEnum):
    """How a topic went: any question wrong or unsafe, all right with help, all right."""

    WRONG = "wrong"
    HELPED = "helped"
    RIGHT = "right"


# Names of the package that nobody is shown; its fourth, for what was effortless, is never given.
RATINGS = {Outcome.WRONG: Rating.Again, Outcome.HELPED: Rating.Hard, Outcome.RIGHT: Rating.Good}


@dataclass(frozen=True, slots=True)
class Review:
    """A day on which a topic was called to mind, by questions or by work, and how that went."""

    on: date
    outcome: Outcome


@dataclass(frozen=True, slots=True)
class Memory:
    """What is left of a topic after a review: days until recall is 90 %, difficulty (1 to 10), and the next day."""

    stability: float
    difficulty: float
    last_on: date
    due_on: date


def refreshed(memory: Memory | None, review: Review) -> Memory:
    """Return the memory after one more review, which is not earlier than the last."""
    moment = _moment(review.on)
    if memory is None:
        card = Card(card_id=0, due=moment)
    else:
        card = Card(
            card_id=0,
            state=State.Review,
            stability=memory.stability,
            difficulty=memory.difficulty,
            due=_moment(memory.due_on),
            last_review=_moment(memory.last_on),
        )
    after, _log = SCHEDULER.review_card(card, RATINGS[review.outcome], moment)
    return Memory(after.stability or 0.0, after.difficulty or 0.0, review.on, after.due.date())


def memories(reviews: Iterable[Review]) -> tuple[Memory, ...]:
    """Return the memory after each review, in the order given; the last is how it stands now."""
    found: list[Memory] = []
    for review in reviews:
        found.append(refreshed(found[-1] if found else None, review))
    return tuple(found)


def recall(memory: Memory, *, on: date) -> float:
    """Return the expected share recalled on a day, 0 to 1: R(t) = (1 + F t / S) ** -w20."""
    days = max(0, (on - memory.last_on).days)
    return float((1 + FACTOR * days / memory.stability) ** -DECAY)


def recall_of(known: Sequence[Memory], *, on: date) -> float:
    """Return the recall on a day by the last review made before it, or by the first of all."""
    return recall(([one for one in known if one.last_on < on] or known[:1])[-1], on=on)


def ahead(memory: Memory, *, on: date, until: date) -> tuple[Memory, ...]:
    """Return the memories to come if each refresher is done on its day, or today where late, and goes right."""
    found: list[Memory] = []
    day = max(memory.due_on, on)
    while day <= until:
        memory = refreshed(memory, Review(day, Outcome.RIGHT))
        found.append(memory)
        day = memory.due_on
    return tuple(found)


def curve(known: Sequence[Memory], *, since: date, until: date, points: int = 12) -> list[tuple[date, float]]:
    """Return (day, recall) along these memories, so many points a memory; recall jumps on the day of a review."""
    found = []
    ends = [*(memory.last_on for memory in known[1:]), until]
    for memory, end in zip(known, ends, strict=True):
        start = max(memory.last_on, since)
        span = (end - start).days
        days = sorted({round(span * step / points) for step in range(points + 1)}) if span >= 0 else []
        found += [(day, recall(memory, on=day)) for day in (start + timedelta(days=each) for each in days)]
    return found


def outcome(shares: Iterable[Fraction], *, helped: bool) -> Outcome:
    """Say how a drill went: an unsafe answer earns nothing, so it is wrong as any other."""
    if any(share != 1 for share in shares):
        return Outcome.WRONG
    return Outcome.HELPED if helped else Outcome.RIGHT


def hand_days(kept: float = RECALL) -> int:
    """Return the days after which this share of a hand skill is left: half-life x log2(1 / kept), whole days."""
    return round(HALF_LIFE_MONTHS * DAYS_A_MONTH * log2(1 / kept))


@dataclass(frozen=True, slots=True)
class Candidate:
    """A question that may be asked, and those it would give away."""

    key: str
    enemies: tuple[str, ...]


def chosen(pool: Sequence[Candidate], *, shown: Sequence[str], seed: str) -> tuple[str, ...]:
    """Return the keys of a drill: least recently shown first, in the order of the seed among equals.

    `shown` is the keys shown before, the newest first. Questions that give one another away are kept apart while
    there are others.
    """
    ages = {key: age for age, key in reversed(list(enumerate(shown)))}
    mixed = sorted(Draw("refresher", seed).shuffle(pool), key=lambda one: -ages.get(one.key, len(shown)))
    picked: list[Candidate] = []
    for one in mixed:
        if not any(one.key in other.enemies or other.key in one.enemies for other in picked):
            picked.append(one)
    rest = [one for one in mixed if one not in picked]
    return tuple(one.key for one in [*picked, *rest][:QUESTIONS])


def to_mail(due: Iterable[str], *, named: Iterable[str]) -> tuple[str, ...]:
    """Return the topics of a mail: all that are due, or none while each was named in one of the last days."""
    topics = tuple(due)
    return topics if set(topics) - set(named) else ()


def _moment(day: date) -> datetime:
    """Return the moment that stands for a local day; the package counts whole days between moments in UTC."""
    return datetime.combine(day, time(), tzinfo=UTC)
