"""What a number of good bonds proves. Bonds must be independent and pass or fail clearly."""

import math
from typing import NamedTuple

import scipy

from training.calc import whole
from training.calc.ranges import OutOfRange, Slot, checked

CONFIDENCE = Slot("confidence", "C", "1", "confidence", 0.5, 0.9999)
RELIABILITY = Slot("reliability", "R", "1", "share of good bonds to prove", 0.5, 0.9999)
FAILURES = Slot("failures", "c", "1", "number of bad bonds allowed", 0, 50, whole=True)
BONDS = Slot("bonds", "n", "1", "number of bonds", 1, 100_000, whole=True)
GOOD = Slot("good", "k", "1", "number of good bonds", 0, 100_000, whole=True)
ALLOWED = Slot("allowed", "c", "1", "number of bad bonds allowed", 0, 1000, whole=True)
BAD = Slot("bad_share", "p", "1", "share of bad bonds", 0, 1)
PASS = Slot("pass_probability", "P", "1", "chance of passing one try", 0, 1)
TRIES = Slot("tries", "k", "1", "number of tries", 1, 100, whole=True)


class Interval(NamedTuple):
    """Lower and upper bound of a share."""

    low: float
    high: float


@checked(CONFIDENCE, RELIABILITY)
def run_quotient(confidence: float, reliability: float) -> float:
    """Length of the run before rounding up: a line of the working."""
    return math.log(1 - confidence) / math.log(reliability)


@checked(CONFIDENCE, RELIABILITY)
def success_run(confidence: float, reliability: float) -> float:
    """Bonds, all good, that prove a share of good bonds (classical, R = (1-C)^(1/n)), rounded up."""
    return whole.up(run_quotient(confidence, reliability))


@checked(CONFIDENCE, RELIABILITY, FAILURES)
def sample_size(confidence: float, reliability: float, failures: int) -> float:
    """Bonds that prove a share of good ones when up to this many may be bad (binomial)."""
    low, high = failures, failures + 1
    while scipy.stats.binom.cdf(failures, high, 1 - reliability) > 1 - confidence + 1e-12:
        low, high = high, 2 * high
    while high - low > 1:
        middle = (low + high) // 2
        if scipy.stats.binom.cdf(failures, middle, 1 - reliability) > 1 - confidence + 1e-12:
            low = middle
        else:
            high = middle
    return high


@checked(BONDS, CONFIDENCE)
def demonstrated(bonds: int, confidence: float) -> float:
    """Share of good bonds that an unbroken run proves (classical)."""
    return float((1 - confidence) ** (1 / bonds))


@checked(BONDS, CONFIDENCE)
def demonstrated_uniform_prior(bonds: int, confidence: float) -> float:
    """The same by the other convention in use (Bayes, uniform prior): name the one you use."""
    return float((1 - confidence) ** (1 / (bonds + 1)))


def _count(good: int, bonds: int) -> None:
    if good > bonds:
        raise OutOfRange(f"The number of good bonds must be at most {bonds}, the number of bonds.")


def exact_interval(good: int, bonds: int, confidence: float) -> Interval:
    """Two-sided exact interval of the share of good bonds (Clopper and Pearson 1934)."""
    _count(good, bonds)
    tail = (1 - confidence) / 2
    return Interval(
        float(scipy.stats.beta.ppf(tail, good, bonds - good + 1)) if good else 0.0,
        float(scipy.stats.beta.ppf(1 - tail, good + 1, bonds - good)) if good < bonds else 1.0,
    )


def wilson_interval(good: int, bonds: int, confidence: float) -> Interval:
    """Two-sided score interval of the share of good bonds (Wilson 1927), for display."""
    _count(good, bonds)
    z = float(scipy.stats.norm.ppf((1 + confidence) / 2))
    share, weight = good / bonds, z**2 / bonds
    middle = (share + weight / 2) / (1 + weight)
    half = z / (1 + weight) * math.sqrt(share * (1 - share) / bonds + weight / (4 * bonds))
    return Interval(max(0.0, middle - half), min(1.0, middle + half))


@checked(GOOD, BONDS, CONFIDENCE)
def exact_low(good: int, bonds: int, confidence: float) -> float:
    """Lower end of the two-sided exact interval."""
    return exact_interval(good, bonds, confidence).low


@checked(GOOD, BONDS, CONFIDENCE)
def exact_high(good: int, bonds: int, confidence: float) -> float:
    """Upper end of the two-sided exact interval."""
    return exact_interval(good, bonds, confidence).high


@checked(GOOD, BONDS, CONFIDENCE)
def wilson_low(good: int, bonds: int, confidence: float) -> float:
    """Lower end of the two-sided score interval."""
    return wilson_interval(good, bonds, confidence).low


@checked(GOOD, BONDS, CONFIDENCE)
def wilson_high(good: int, bonds: int, confidence: float) -> float:
    """Upper end of the two-sided score interval."""
    return wilson_interval(good, bonds, confidence).high


@checked(GOOD, BONDS, CONFIDENCE)
def lower_bound(good: int, bonds: int, confidence: float) -> float:
    """Share of good bonds proved, one-sided exact bound (Clopper and Pearson 1934)."""
    return exact_interval(good, bonds, 2 * confidence - 1).low


@checked(BONDS, ALLOWED, BAD)
def pass_probability(bonds: int, allowed: int, bad_share: float) -> float:
    """Chance that a crew with this share of bad bonds passes "at most so many bad"."""
    return float(scipy.stats.binom.cdf(allowed, bonds, bad_share))


@checked(PASS, TRIES)
def retest_risk(pass_probability: float, tries: int) -> float:
    """Chance of passing at least once in several tries."""
    return 1 - (1 - pass_probability) ** tries
