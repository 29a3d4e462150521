"""Standing, routes and numbers of a card."""

from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from certs.cards import rules
from certs.cards.rules import ALPHABET, Cycle, Facts, Kept, Owed, Route, Standing, State, Step
from training.content.schemes import LastDay, Unconfirmed

START, END = date(2026, 11, 25), date(2029, 11, 24)
DUE = date(2027, 5, 25)
DAY = timedelta(days=1)
BY, LATE = date(2027, 1, 24), date(2027, 2, 3)


def facts(**changes: Any) -> Facts:
    return Facts(
        **{
            "valid_from": START,
            "last_day": END,
            "renew_months": 6,
            "grace_months": 6,
            "confirm_by": DUE,
            "confirm_months": 6,
            "unconfirmed": Unconfirmed.STOPS,
            **changes,
        }
    )


def kept_up(until: date = END) -> tuple[date, ...]:
    """Return confirmations in time, one every five months."""
    return tuple(day for n in range(1, 9) if (day := rules.add_months(START, 5 * n)) <= until)


class TestStanding:
    """The gravest reason comes first, each with its day."""

    @pytest.mark.parametrize(
        ("changes", "on", "expected"),
        [
            ({}, START, State(Standing.CURRENT, END)),
            ({}, START - timedelta(days=1), State(Standing.NOT_YET_VALID, START)),
            ({}, DUE, State(Standing.CURRENT, END)),
            ({}, DUE + timedelta(days=1), State(Standing.WORK_NOT_CONFIRMED, DUE)),
            ({"unconfirmed": Unconfirmed.WARNS}, DUE + timedelta(days=1), State(Standing.CURRENT, END, DUE)),
            ({"confirmed_on": kept_up()}, date(2029, 5, 23), State(Standing.CURRENT, END)),
            ({"confirmed_on": kept_up()}, date(2029, 5, 24), State(Standing.DUE, END)),
            ({"confirmed_on": kept_up()}, END, State(Standing.DUE, END)),
            ({"confirmed_on": kept_up()}, END + timedelta(days=1), State(Standing.LAPSED, END)),
            ({"measures": ((Step.SUSPENDED, START),)}, START, State(Standing.SUSPENDED, START)),
            (
                {"measures": ((Step.SUSPENDED, START), (Step.REINSTATED, date(2026, 12, 1)))},
                date(2026, 12, 1),
                State(Standing.CURRENT, END),
            ),
            ({"measures": ((Step.WITHDRAWN, DUE),)}, DUE - timedelta(days=1), State(Standing.CURRENT, END)),
            ({"measures": ((Step.WITHDRAWN, DUE),)}, DUE, State(Standing.WITHDRAWN, DUE)),
            ({"measures": ((Step.REPLACED, DUE), (Step.WITHDRAWN, DUE))}, DUE, State(Standing.WITHDRAWN, DUE)),
            ({"measures": ((Step.REPLACED, DUE),)}, END + timedelta(days=9), State(Standing.REPLACED, DUE)),
            ({"measures": ((Step.SUSPENDED, DUE),)}, END + timedelta(days=1), State(Standing.LAPSED, END)),
            ({"measures": ((Step.SUSPENDED, DUE),)}, date(2027, 6, 1), State(Standing.SUSPENDED, DUE)),
        ],
    )
    def test_on_each_side_of_each_boundary(self, changes: dict[str, Any], on: date, expected: State) -> None:
        """A card changes on the day the rule says and on no other."""
        assert rules.standing(facts(**changes), on=on) == expected

    @pytest.mark.parametrize(
        ("owed", "on", "expected"),
        [
            ((Owed(BY, stops=True),), BY, State(Standing.CURRENT, END)),
            ((Owed(BY, stops=True),), BY + DAY, State(Standing.PROCEDURE_OVERDUE, BY)),
            ((Owed(BY, stops=True, settled_on=BY),), BY + DAY, State(Standing.CURRENT, END)),
            ((Owed(BY, stops=True, settled_on=LATE),), LATE - DAY, State(Standing.PROCEDURE_OVERDUE, BY)),
            ((Owed(BY, stops=True, settled_on=LATE),), LATE, State(Standing.CURRENT, END)),
            ((Owed(BY, stops=False),), BY, State(Standing.CURRENT, END)),
            ((Owed(BY, stops=False),), BY + DAY, State(Standing.DUE, END, None, BY)),
            ((Owed(BY, stops=False, settled_on=LATE),), LATE, State(Standing.CURRENT, END)),
            # The strict one decides, whichever came first; the older of two names the day.
            (
                (Owed(BY, stops=False), Owed(LATE, stops=True)),
                LATE + DAY,
                State(Standing.PROCEDURE_OVERDUE, LATE),
            ),
            ((Owed(LATE, stops=True), Owed(BY, stops=True)), LATE + DAY, State(Standing.PROCEDURE_OVERDUE, BY)),
            ((Owed(LATE, stops=False), Owed(BY, stops=False)), LATE + DAY, State(Standing.DUE, END, None, BY)),
            # What is graver comes first.
            ((Owed(BY, stops=True),), DUE + DAY, State(Standing.WORK_NOT_CONFIRMED, DUE)),
            ((Owed(BY, stops=True),), END + DAY, State(Standing.LAPSED, END)),
        ],
    )
    def test_takes_changed_procedures_into_account(self, owed: tuple[Owed, ...], on: date, expected: State) -> None:
        """From the day after the last day until the day it is done, on any past day alike."""
        assert rules.standing(facts(owed=owed), on=on) == expected

    def test_tells_a_late_confirmation_beside_a_late_reading(self) -> None:
        """Where the scheme only warns, both are said."""
        late = facts(unconfirmed=Unconfirmed.WARNS, owed=(Owed(BY, stops=False),))
        assert rules.standing(late, on=DUE + DAY) == State(Standing.DUE, END, DUE, BY)

    def test_holds_for_two_of_nine(self) -> None:
        """Only a current card and one due for renewal may be worked under."""
        assert [each for each in Standing if each.holds] == [Standing.CURRENT, Standing.DUE]

    def test_a_step_is_offered_only_where_it_means_something(self) -> None:
        """What is withdrawn stays withdrawn; only the suspended is reinstated."""
        assert rules.allowed_steps(Standing.WITHDRAWN) == rules.allowed_steps(Standing.REPLACED) == ()
        assert rules.allowed_steps(Standing.SUSPENDED) == (Step.REINSTATED, Step.WITHDRAWN)
        assert rules.allowed_steps(Standing.LAPSED) == (Step.SUSPENDED, Step.WITHDRAWN)


class TestConfirmBy:
    """Each confirmation starts its own span."""

    def test_a_late_one_does_not_mend(self) -> None:
        """A day after the due day, and whatever follows it, changes nothing."""
        late = facts(confirmed_on=(DUE + timedelta(days=1), DUE + timedelta(days=2)))
        assert rules.confirm_by(late, on=END) == DUE

    def test_a_late_one_ends_a_warning(self) -> None:
        """Where a scheme only warns there is nothing to mend."""
        late = facts(confirmed_on=(date(2027, 6, 1),), unconfirmed=Unconfirmed.WARNS)
        assert rules.confirm_by(late, on=END) == date(2027, 12, 1)

    def test_counts_what_was_known_on_the_day(self) -> None:
        """A later confirmation does not change what stood before it."""
        assert rules.confirm_by(facts(confirmed_on=(date(2027, 3, 1),)), on=date(2027, 2, 28)) == DUE
        assert rules.confirm_by(facts(confirmed_on=(date(2027, 3, 1),)), on=date(2027, 3, 1)) == date(2027, 9, 1)


class TestKept:
    """Days beside the facts, which long lists read."""

    def test_follow_from_the_terms(self) -> None:
        """Nothing has happened yet."""
        expected = Kept(renew_from=date(2029, 5, 24), confirm_next=DUE, confirmed_on=None, measured_on=None)
        assert rules.kept(facts()) == expected

    def test_follow_what_happened(self) -> None:
        """The last confirmation and the first measure, in whatever order they were entered."""
        measures = ((Step.REINSTATED, date(2027, 2, 1)), (Step.SUSPENDED, date(2027, 1, 1)))
        kept = rules.kept(facts(confirmed_on=(date(2027, 5, 1), date(2027, 3, 1)), measures=measures))
        assert (kept.confirm_next, kept.confirmed_on, kept.measured_on) == (
            date(2027, 11, 1),
            date(2027, 5, 1),
            date(2027, 1, 1),
        )


class TestCycle:
    """How the days of a new card follow from the card before."""

    OLD = Cycle(anchor=START, months=36, valid_from=START, last_day=END)

    @pytest.mark.parametrize(
        ("by", "decided_on", "anchor", "last_day"),
        [
            (Route.FIRST, date(2026, 11, 25), date(2026, 11, 20), date(2029, 11, 19)),
            (Route.EARLY, date(2029, 5, 23), date(2029, 5, 18), date(2032, 5, 17)),
            (Route.WINDOW, date(2029, 5, 24), START, date(2032, 11, 24)),
            (Route.GRACE, date(2030, 3, 1), START, date(2032, 11, 24)),
            (Route.CLOSED, date(2030, 5, 25), date(2030, 5, 20), date(2033, 5, 19)),
        ],
    )
    def test_by_every_route(self, by: Route, decided_on: date, anchor: date, last_day: date) -> None:
        """Window and grace keep the anniversary; any other way starts anew from the day of the tests."""
        before = None if by is Route.FIRST else self.OLD
        passed_on = decided_on - timedelta(days=5)
        made = rules.cycle(36, LastDay.EVE, before=before, by=by, passed_on=passed_on, decided_on=decided_on)
        assert (made.anchor, made.valid_from, made.last_day) == (anchor, decided_on, last_day)

    def test_a_changed_span_counts_from_the_same_day(self) -> None:
        """A scheme that goes from 36 to 24 months adds 24 to the 36."""
        made = rules.cycle(
            24, LastDay.EVE, before=self.OLD, by=Route.WINDOW, passed_on=DUE, decided_on=date(2029, 6, 1)
        )
        assert (made.months, made.last_day) == (60, date(2031, 11, 24))


class TestNumber:
    """Numbers can be read out loud, mistyped and found out, and not walked along."""

    def test_leaves_out_look_alikes(self) -> None:
        """Neither 0 O, 1 I L, 5 S nor U V can be mistaken."""
        assert not set("01OILSU") & set(ALPHABET)
        assert len(ALPHABET) == len(set(ALPHABET)) == 29

    @given(st.lists(st.sampled_from(ALPHABET), min_size=7, max_size=7))
    def test_reads_back_however_typed(self, drawn: list[str]) -> None:
        """Small letters, spaces and a missing prefix are forgiven."""
        number = rules.number_of(drawn)
        assert rules.tidy_number(number) == number
        assert rules.tidy_number(f" {number.lower().replace('-', ' ')} ") == number
        assert rules.tidy_number(number.removeprefix("FB-")) == number

    @given(st.lists(st.sampled_from(ALPHABET), min_size=7, max_size=7), st.data())
    def test_refuses_one_wrong_or_two_swapped_characters(self, drawn: list[str], data: st.DataObject) -> None:
        """What ISO/IEC 7064 asks of a check character over a prime."""
        text = rules.number_of(drawn).replace("-", "")[2:]
        place = data.draw(st.integers(0, 7))
        wrong = text[:place] + data.draw(st.sampled_from(ALPHABET)) + text[place + 1 :]
        assert wrong == text or rules.tidy_number(wrong) == ""
        place = data.draw(st.integers(0, 5))
        swapped = text[:place] + text[place + 1] + text[place] + text[place + 2 :]
        assert swapped == text or rules.tidy_number(swapped) == ""

    @pytest.mark.parametrize("typed", ["", "FB", "FB-2222-222", "FB-2222-22222", "FB-0000-0000", "../../etc", "ẞ" * 8])
    def test_refuses_what_cannot_be_one(self, typed: str) -> None:
        """Wrong length or letters give an empty string."""
        assert rules.tidy_number(typed) == ""
