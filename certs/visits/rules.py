"""What a visit is for and how it stands. Plain values only."""

from collections.abc import Collection
from datetime import date
from enum import StrEnum

from certs.records.rules import Step as Next
from certs.signoffs.rules import too_near

# The last paper has to be sat yet: a trainer is needed for it where it is invigilated.
_BEFORE_THE_PAPER = frozenset({Next.READ, Next.GO_ON, Next.WAIT, Next.SIT})


class Step(StrEnum):
    """What a trainer does with a person at a visit."""

    PAPER = "paper"
    PRACTICAL = "practical"


class Standing(StrEnum):
    """How a visit stands on a day."""

    ASKED = "asked"
    ACCEPTED = "accepted"
    DECLINED = "declined"
    CALLED_OFF = "called off"
    DONE = "done"
    OVER = "over"

    @property
    def is_open(self) -> bool:
        """Whether the visit is still to come."""
        return self in {Standing.ASKED, Standing.ACCEPTED}


class News(StrEnum):
    """What was done to a visit, for those whom it concerns."""

    ASKED = "asked"
    ACCEPTED = "accepted"
    DECLINED = "declined"
    CALLED_OFF = "called off"


class Objection(StrEnum):
    """Why a visit cannot be asked for."""

    PAST = "past"
    NOBODY = "nobody"
    ELSEWHERE = "elsewhere"
    MAY_NOT = "may not"
    TRAINED = "trained"
    DECLINED = "declined"
    TWICE = "twice"


def steps(upcoming: Next, *, invigilated: bool) -> tuple[Step, ...]:
    """Return what a trainer does with a person whose next step that is."""
    paper = invigilated and upcoming in _BEFORE_THE_PAPER
    return (Step.PAPER, Step.PRACTICAL) if paper else (Step.PRACTICAL,)


def standing(*, visit_on: date, accepted: bool | None, called_off: bool, left: int, on: date) -> Standing:
    """Say how a visit stands; `left` is how many of its steps no record shows since its day."""
    if called_off:
        return Standing.CALLED_OFF
    if accepted is False:
        return Standing.DECLINED
    if visit_on <= on and not left:
        return Standing.DONE
    if visit_on < on:
        return Standing.OVER
    return Standing.ACCEPTED if accepted else Standing.ASKED


def hearers(
    news: News, *, trainer: int, asked_by: int, people: Collection[int], agreed: bool, by: int
) -> tuple[int, ...]:
    """Return who is told, each once, by number: never the one who did it.

    The people a visit is for hear of it once the trainer agrees, and afterwards of what undoes that (`agreed`).
    """
    about = people if news is News.ACCEPTED or agreed else ()
    first = {News.ASKED: (trainer,), News.CALLED_OFF: (trainer, asked_by)}.get(news, (asked_by,))
    return tuple(one for one in dict.fromkeys((*first, *about)) if one != by)


def objections(
    *,
    visit_on: date,
    people: int,
    elsewhere: bool,
    may_assess: bool,
    trained_to: Collection[date | None],
    twice: bool,
    on: date,
    declined: bool = False,
) -> tuple[Objection, ...]:
    """Return why a visit cannot be asked for: each of `trained_to` is the last day the trainer trained one of them.

    `elsewhere` says that one of them works for another employer, `twice` that one has an open visit under the scheme,
    `declined` that the trainer has declined this visit.
    """
    near = any(too_near(day, on=visit_on) for day in trained_to)
    found = (
        (visit_on < on, Objection.PAST),
        (not people, Objection.NOBODY),
        (elsewhere, Objection.ELSEWHERE),
        (not may_assess, Objection.MAY_NOT),
        (near, Objection.TRAINED),
        (declined, Objection.DECLINED),
        (twice, Objection.TWICE),
    )
    return tuple(one for holds, one in found if holds)
