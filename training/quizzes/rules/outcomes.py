"""What a marked paper comes to. A share is an exact `Fraction` from 0 to 1."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import floor


@dataclass(frozen=True, slots=True)
class Marked:
    """A marked question: its place, topic, whether it must be right, and the share of each part."""

    position: int
    topic: str
    safety: bool
    shares: tuple[Fraction, ...]

    @property
    def earned(self) -> Fraction:
        """Return the share of the question's one mark; its parts weigh the same."""
        return sum(self.shares, Fraction(0)) / len(self.shares)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a paper came to, and which rule failed. `topics` are those that fell short, where each must pass."""

    earned: Fraction
    out_of: int
    needed: Fraction
    unsafe: tuple[int, ...]
    topics: tuple[str, ...] = ()

    @property
    def short(self) -> bool:
        """Say whether too few marks were earned."""
        return self.earned < self.needed

    @property
    def passed(self) -> bool:
        """Say whether the paper is passed: marks enough, every safety question fully right, no topic short."""
        return not self.short and not self.unsafe and not self.topics


def outcome(marked: Sequence[Marked], *, passing: Fraction, by_topic: bool = False) -> Outcome:
    """Return what the questions come to; one mark a question, `passing` is the share needed.

    With `by_topic` each topic must reach that share with its safety questions right.
    """
    unsafe = tuple(question.position for question in marked if question.safety and question.earned < 1)
    unsafe_topics = {question.topic for question in marked if question.position in unsafe}
    return Outcome(
        earned=sum((question.earned for question in marked), Fraction(0)),
        out_of=len(marked),
        needed=passing * len(marked),
        unsafe=unsafe,
        topics=tuple(
            topic
            for topic, (earned, out_of) in profile(marked).items()
            if by_topic and (earned < passing * out_of or topic in unsafe_topics)
        ),
    )


def profile(marked: Sequence[Marked]) -> dict[str, tuple[Fraction, int]]:
    """Return marks earned and marks to be had by topic, in the order the topics come."""
    topics: dict[str, tuple[Fraction, int]] = {}
    for question in marked:
        earned, out_of = topics.get(question.topic, (Fraction(0), 0))
        topics[question.topic] = (earned + question.earned, out_of + 1)
    return topics


def figure(marks: Fraction, *, decimals: int = 2) -> str:
    """Return marks as digits, cut and never rounded up: 15.999 of 16 needed must not read as 16."""
    scale = 10**decimals
    whole, rest = divmod(floor(marks * scale), scale)
    return f"{whole}.{rest:0{decimals}d}".rstrip("0").rstrip(".") if rest else str(whole)
