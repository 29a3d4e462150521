"""Who may sign a practical, approve or refuse an exception, and decide. Plain values only."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from certs.cards.rules import add_months

TOO_NEAR_MONTHS = 24


class Objection(StrEnum):
    """Why a person may not sign, decide or approve."""

    ONESELF = "oneself"
    CLOSED = "closed"
    CANDIDATE_CLOSED = "candidate closed"
    NOT_ASSESSOR = "not assessor"
    NOT_DECIDER = "not decider"
    TRAINED = "trained"
    NOT_APPROVED = "not approved"
    ASSESSED = "assessed"
    PAPER = "paper"
    UNREAD = "unread"
    SIGNED = "signed"
    NOT_PASSED = "not passed"
    NO_DECISION = "no decision"
    DECIDED = "decided"
    REPLACED = "replaced"
    NO_NEED = "no need"


def free_from(trained_to: date) -> date:
    """Return the first day on which a trainer may assess, or decide about, a person trained up to a day."""
    return add_months(trained_to, TOO_NEAR_MONTHS)


def too_near(trained_to: date | None, *, on: date) -> bool:
    """Say whether training lies so near that the trainer may not judge the candidate: within 24 months of its end."""
    return trained_to is not None and on < free_from(trained_to)


class Leave(StrEnum):
    """Where a declared exception stands."""

    NONE = "none"
    ASKED = "asked"
    APPROVED = "approved"


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """What is known about an assessor and a candidate under one scheme.

    `trained_to` is the last day this assessor trained this candidate. `may_assess` holds for the day of the
    practical and for the day of signing. `signed`: a sign-off that counts stands already.
    """

    is_oneself: bool
    is_active: bool
    candidate_active: bool
    may_assess: bool
    trained_to: date | None
    leave: Leave
    passed_paper: bool
    unread: tuple[str, ...]
    signed: bool


def objections(case: Case, *, on: date) -> tuple[Objection, ...]:
    """Return every reason why this assessor may not sign this candidate's practical of day `on`; none means may."""
    near = too_near(case.trained_to, on=on)
    reasons = (
        (case.is_oneself, Objection.ONESELF),
        (not case.is_active, Objection.CLOSED),
        (not case.candidate_active, Objection.CANDIDATE_CLOSED),
        (not case.may_assess, Objection.NOT_ASSESSOR),
        (near and case.leave is Leave.NONE, Objection.TRAINED),
        (near and case.leave is Leave.ASKED, Objection.NOT_APPROVED),
        (not case.passed_paper, Objection.PAPER),
        (bool(case.unread), Objection.UNREAD),
        (case.signed, Objection.SIGNED),
    )
    return tuple(objection for holds, objection in reasons if holds)


@dataclass(frozen=True, slots=True, kw_only=True)
class DecisionCase:
    """What is known about a decision maker and a signed practical.

    `trained_to` is the last day the decision maker trained the candidate. An exception has no place here: it
    lets somebody assess, never decide. `paper_passed`: the paper under the practical still counts as passed.
    """

    is_oneself: bool
    is_active: bool
    candidate_active: bool
    may_decide: bool
    trained_to: date | None
    assessed: bool
    passed: bool
    separate: bool
    decided: bool
    replaced: bool
    paper_passed: bool = True


def decision_objections(case: DecisionCase, *, on: date) -> tuple[Objection, ...]:
    """Return every reason why this person may not decide about this practical on day `on`; none means may."""
    reasons = (
        (case.is_oneself, Objection.ONESELF),
        (not case.is_active, Objection.CLOSED),
        (not case.candidate_active, Objection.CANDIDATE_CLOSED),
        (not case.may_decide, Objection.NOT_DECIDER),
        (case.assessed, Objection.ASSESSED),
        (too_near(case.trained_to, on=on), Objection.TRAINED),
        (not case.passed, Objection.NOT_PASSED),
        (not case.paper_passed, Objection.PAPER),
        (not case.separate, Objection.NO_DECISION),
        (case.decided, Objection.DECIDED),
        (case.replaced, Objection.REPLACED),
    )
    return tuple(objection for holds, objection in reasons if holds)


def exception_objections(found: Iterable[Objection]) -> tuple[Objection, ...]:
    """Return why an exception cannot be declared: it lifts the training rule and nothing else."""
    others = tuple(one for one in found if one not in {Objection.TRAINED, Objection.NOT_APPROVED})
    return others if Objection.TRAINED in found or Objection.NOT_APPROVED in found else (*others, Objection.NO_NEED)


def approval_objections(
    *, is_candidate: bool, is_assessor: bool, is_active: bool, is_staff: bool, answered: bool
) -> tuple[Objection, ...]:
    """Return why this person may neither approve nor refuse an exception.

    It takes a third person, a trainer or an administrator, and is `answered` once.
    """
    reasons = (
        (is_candidate, Objection.ONESELF),
        (is_assessor, Objection.ASSESSED),
        (not is_active, Objection.CLOSED),
        (not is_staff, Objection.NOT_DECIDER),
        (answered, Objection.DECIDED),
    )
    return tuple(objection for holds, objection in reasons if holds)
