"""What is wrong with a plan, and what it leaves open, in sentences."""

import pytest

from certs.crewing.queries.words import FAULTS, WITHOUT, fault_words, first_of_runs, open_words
from certs.crewing.rules import COVER, Fault, Rule, Shortage
from certs.crewing.rules.plan import RELAXED
from tests.certs.crewing.cases import day, hand

JOBS, HANDS = {"a": "B-1, Ashby"}, [hand("ann", name="Ann Ash")]
TITLES = {"bonds": "Rail bonds"}


@pytest.mark.parametrize(
    ("fault", "words"),
    [
        (Fault(day(0), "ann", "a", Rule.AWAY, "bonds"), "30 Nov 2026, B-1, Ashby: Ann Ash is away that day."),
        (
            Fault(day(0), "ann", "a", Rule.CARD, "bonds"),
            "30 Nov 2026, B-1, Ashby: Ann Ash has no card for Rail bonds that is current that day.",
        ),
        (
            Fault(day(0), "ann", "a", Rule.ROW, "bonds", 7),
            "30 Nov 2026, B-1, Ashby: it is day 7 in a row for Ann Ash. Leave a day free before.",
        ),
        (
            Fault(day(0), "", "a", Rule.WANTED, "bonds", 2),
            "30 Nov 2026, B-1, Ashby: 2 people too many as holder of Rail bonds.",
        ),
        (
            Fault(day(0), "ann", "a", Rule.WANTED, COVER),
            "30 Nov 2026, B-1, Ashby: no supervisor is wanted there that day. Take the turn out.",
        ),
        (
            Fault(day(0), "eve", "x", Rule.KNOWN, "bonds"),
            "30 Nov 2026: the plan names a job that is closed or not on this day any more. Take the turn out.",
        ),
        (
            Fault(day(0), "eve", "a", Rule.KNOWN, "bonds"),
            "30 Nov 2026, B-1, Ashby: whoever is sent there does not work for this employer, or not any more."
            " Send somebody else.",
        ),
    ],
)
def test_faults(fault: Fault, words: str) -> None:
    """A fault is told with its day, place and person."""
    assert fault_words(fault, JOBS, HANDS, TITLES) == words


def test_a_run_too_long_is_told_once() -> None:
    """By its first day too many, for each person; what is wrong besides stays."""
    runs = [Fault(day(number), hand, "a", Rule.ROW, "bonds", 7 + number) for number in (0, 1, 2) for hand in "xy"]
    away = Fault(day(1), "x", "a", Rule.AWAY, "bonds")
    assert first_of_runs([*runs, away]) == [*runs[:2], away]


def test_what_is_open() -> None:
    """What is missing is counted, and what alone is in the way is told; days that lack the same stand together."""
    runs = [Shortage(day(number), "a", "bonds", 1, (Rule.REST,)) for number in (0, 1, 3)]
    assert open_words([*runs, Shortage(day(0), "a", "leads", 2), Shortage(day(0), "a", COVER, 1)], JOBS, TITLES) == (
        "30 Nov 2026 to 1 Dec 2026, 3 Dec 2026, B-1, Ashby: 1 holder of Rail bonds is missing."
        " Without the rest after a night job a place could be filled.",
        "30 Nov 2026, B-1, Ashby: 2 holders of leads are missing.",
        "30 Nov 2026, B-1, Ashby: a supervisor is missing.",
    )


def test_every_rule_has_words() -> None:
    """No rule is without its sentence."""
    assert {*FAULTS} == {*Rule}
    assert {*WITHOUT} == {*RELAXED}
