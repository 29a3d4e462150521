"""Days to ask in, who may look, and what may be put right."""

from datetime import date
from fractions import Fraction

import pytest

from training.questions.correcting import Change, What
from training.reviews.rules import (
    Fault,
    Offer,
    Part,
    State,
    Tie,
    ask_until,
    fault,
    shares_from,
    state,
    ties,
)

HALF = Fraction(1, 2)


class TestState:
    def test_goes_from_asked_to_answered(self) -> None:
        """An answer ends it."""
        assert state(taken=False, answered=False) is State.ASKED
        assert state(taken=True, answered=False) is State.LOOKED_AT
        assert state(taken=True, answered=True) is State.ANSWERED


class TestAskUntil:
    def test_counts_thirty_days_from_the_last_mark(self) -> None:
        """A new mark may be asked about as the first one was."""
        assert ask_until([date(2026, 11, 25)]) == date(2026, 12, 25)
        assert ask_until([date(2026, 11, 25), date(2026, 12, 1)]) == date(2026, 12, 31)


class TestTies:
    PART = Part(
        candidate=1, trainers=frozenset({2}), invigilator=3, authors=frozenset({4}), correctors=frozenset({5, 2})
    )

    @pytest.mark.parametrize(
        ("person", "found"),
        [
            (1, (Tie.CANDIDATE,)),
            (2, (Tie.TRAINER, Tie.CORRECTOR)),
            (3, (Tie.INVIGILATOR,)),
            (4, (Tie.AUTHOR,)),
            (5, (Tie.CORRECTOR,)),
            (6, ()),
        ],
    )
    def test_name_every_part_a_person_had(self, person: int, found: tuple[Tie, ...]) -> None:
        """An appeal is answered by someone who had none (ISO/IEC 17024:2012, 9.8; from memory)."""
        assert ties(self.PART, person=person, is_staff=True) == found

    def test_keep_out_who_is_no_staff(self) -> None:
        """A colleague of the candidate answers nothing."""
        assert ties(self.PART, person=6, is_staff=False) == (Tie.NOT_STAFF,)


class TestShares:
    def test_never_go_down(self) -> None:
        """Nobody loses a mark by asking, and what is there need not be a quarter."""
        assert shares_from(HALF) == (HALF, Fraction(3, 4), Fraction(1))
        assert shares_from(Fraction(1, 3)) == (Fraction(1, 3), HALF, Fraction(3, 4), Fraction(1))
        assert shares_from(Fraction(1)) == (Fraction(1),)


LINES = Offer(name="p", prompt="", what=What.RIGHT, lines=("a", "b", "c"), right=("a",))
PLACES = Offer(name="p", prompt="", what=What.ORDER, lines=("a", "b", "c"), right=("a", "b", "c"))
WIDTH = Offer(name="p", prompt="", what=What.TOLERANCE, unit="V", relative=Fraction("0.02"))


class TestFault:
    @pytest.mark.parametrize(
        ("offer", "change", "found"),
        [
            (None, Change(what=What.DROP), None),
            (LINES, Change(what=What.RIGHT, part="p", lines=("b",)), None),
            (LINES, Change(what=What.RIGHT, part="p", lines=("a", "b")), None),
            (LINES, Change(what=What.RIGHT, part="p", lines=("a",)), Fault.SAME),
            (LINES, Change(what=What.RIGHT, part="p"), Fault.NOTHING),
            (LINES, Change(what=What.RIGHT, part="p", lines=("a", "b", "c")), Fault.EVERYTHING),
            (PLACES, Change(what=What.ORDER, part="p", lines=("b", "a", "c")), None),
            (PLACES, Change(what=What.ORDER, part="p", lines=("a", "b", "c")), Fault.SAME),
            (PLACES, Change(what=What.ORDER, part="p", lines=("a", "b")), Fault.PLACES),
            (WIDTH, Change(what=What.TOLERANCE, part="p", relative=Fraction("0.05")), None),
            (WIDTH, Change(what=What.TOLERANCE, part="p", absolute=HALF, relative=Fraction("0.02")), None),
            (WIDTH, Change(what=What.TOLERANCE, part="p", relative=Fraction("0.02")), Fault.SAME),
            (WIDTH, Change(what=What.TOLERANCE, part="p", relative=Fraction("0.01")), Fault.NARROW),
            (WIDTH, Change(what=What.TOLERANCE, part="p", absolute=HALF), Fault.NARROW),
            (WIDTH, Change(what=What.TOLERANCE, part="p"), Fault.NOTHING),
        ],
    )
    def test_says_what_cannot_be_proposed(self, offer: Offer | None, change: Change, found: Fault | None) -> None:
        """One reason, the first that holds."""
        assert fault(change, offer) is found
