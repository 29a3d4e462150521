"""Wrong answers about what a number of good bonds proves."""

import math

from training.calc import evidence, whole
from training.calc.evidence import (
    ALLOWED,
    BAD,
    BONDS,
    CONFIDENCE,
    FAILURES,
    GOOD,
    PASS,
    RELIABILITY,
    TRIES,
)
from training.calc.ranges import checked


@checked(CONFIDENCE, RELIABILITY)
def run_rounded_down(confidence: float, reliability: float) -> float:
    """Rounded down."""
    return whole.down(evidence.run_quotient(confidence, reliability))


@checked(RELIABILITY)
def run_reciprocal(reliability: float) -> float:
    """One over the share of bad bonds."""
    return whole.up(1 / (1 - reliability))


@checked(CONFIDENCE, RELIABILITY)
def run_two_sided(confidence: float, reliability: float) -> float:
    """Half the risk, as for two sides."""
    return whole.up(math.log((1 - confidence) / 2) / math.log(reliability))


@checked(CONFIDENCE, RELIABILITY)
def size_no_failures(confidence: float, reliability: float) -> float:
    """Size for no bad bond."""
    return evidence.success_run(confidence, reliability)


@checked(CONFIDENCE, RELIABILITY, FAILURES)
def size_failures_added(confidence: float, reliability: float, failures: int) -> float:
    """Size for no bad bond and one more bond for each bad one."""
    return evidence.success_run(confidence, reliability) + failures


@checked()
def demonstrated_all() -> float:
    """All, since all were good."""
    return 1.0


@checked(CONFIDENCE)
def demonstrated_confidence(confidence: float) -> float:
    """The confidence itself."""
    return confidence


@checked(BONDS, CONFIDENCE)
def demonstrated_swapped(bonds: int, confidence: float) -> float:
    """Root of the confidence, not of the risk."""
    return math.pow(confidence, 1 / bonds)


@checked(GOOD, BONDS)
def bound_observed(good: int, bonds: int) -> float:
    """Share seen."""
    return good / bonds


@checked(GOOD, BONDS, CONFIDENCE)
def bound_times_confidence(good: int, bonds: int, confidence: float) -> float:
    """Share seen times the confidence."""
    return good / bonds * confidence


@checked(BAD)
def pass_one_bond(bad_share: float) -> float:
    """Chance of one good bond."""
    return 1 - bad_share


@checked(BONDS, BAD)
def pass_none_allowed(bonds: int, bad_share: float) -> float:
    """No bad bond allowed."""
    return evidence.pass_probability(bonds, 0, bad_share)


@checked(BONDS, ALLOWED, BAD)
def pass_failing(bonds: int, allowed: int, bad_share: float) -> float:
    """Chance of failing."""
    return 1 - evidence.pass_probability(bonds, allowed, bad_share)


@checked(PASS)
def retest_once(pass_probability: float) -> float:
    """Chance of one try."""
    return pass_probability


@checked(PASS, TRIES)
def retest_every(pass_probability: float, tries: int) -> float:
    """Chance of passing every try."""
    return math.pow(pass_probability, tries)


@checked(PASS, TRIES)
def retest_added(pass_probability: float, tries: int) -> float:
    """Chances added."""
    return pass_probability * tries
