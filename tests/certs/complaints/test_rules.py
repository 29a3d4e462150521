"""Who may handle a complaint, what may follow what, and who sees how much."""

from datetime import date, timedelta

import pytest

from certs.complaints.rules import (
    ANSWER_DAYS,
    About,
    Entry,
    Eyes,
    Finding,
    Flaw,
    Part,
    Refusal,
    State,
    Step,
    Tie,
    days_left,
    eyes,
    flaws,
    handler,
    is_shown,
    names,
    next_step,
    refusal,
    sides_open,
    state,
    ties,
)

ON = date(2026, 11, 25)
MAX, DORA, ADA, BEN = 1, 2, 3, 4
TAKEN = Entry(step=Step.TAKEN, by=MAX)
DOWN = Entry(step=Step.LAID_DOWN, by=MAX)
ASKED = Entry(step=Step.ASKED, by=MAX, asked=ADA, until=ON)
SIDE = Entry(step=Step.SIDE, by=ADA)
FOUND = Entry(step=Step.FOUND, by=MAX)
CLOSED = Entry(step=Step.CLOSED, by=MAX)


def part(**changes: object) -> Part:
    """Return somebody with no part in it."""
    facts: dict[str, object] = {"is_complainant": False, "is_complained_of": False, "is_active": True}
    facts |= {"is_administrator": True, "trained_to": None, "assessed": False, "examined": False, "decided": False}
    return Part(**(facts | {"acted_on": ON} | changes))  # type: ignore[arg-type]


class TestTies:
    @pytest.mark.parametrize(
        ("changes", "expected"),
        [
            ({}, ()),
            ({"is_complainant": True}, (Tie.COMPLAINANT,)),
            ({"is_complained_of": True}, (Tie.COMPLAINED_OF,)),
            ({"is_active": False}, (Tie.CLOSED,)),
            ({"is_administrator": False}, (Tie.NOT_ADMINISTRATOR,)),
            ({"assessed": True}, (Tie.ASSESSED,)),
            ({"examined": True}, (Tie.EXAMINED,)),
            ({"decided": True}, (Tie.DECIDED,)),
            # 24 months by the calendar, as for whoever decides about the card: ISO/IEC 17024:2012, 5.2.3 (from memory).
            ({"trained_to": date(2024, 11, 26)}, (Tie.TRAINED,)),
            ({"trained_to": date(2024, 11, 25)}, ()),
            ({"assessed": True, "decided": True}, (Tie.ASSESSED, Tie.DECIDED)),
        ],
    )
    def test_keep_who_had_a_part_from_handling(self, changes: dict[str, object], expected: tuple[Tie, ...]) -> None:
        """ISO/IEC 17024:2012, 9.9: decided, or reviewed, by somebody not involved in the subject (from memory)."""
        assert ties(part(**changes)) == expected

    @pytest.mark.parametrize(
        ("text", "found"),
        [("Max Administrator, at the desk", True), ("max  ADMINISTRATOR", True), ("Max", False), ("", False)],
    )
    def test_a_name_in_words(self, text: str, found: bool) -> None:
        assert names(text, "Max Administrator") is found


class TestDays:
    @pytest.mark.parametrize(("on", "left"), [(0, 30), (29, 1), (30, 0), (31, -1)])
    def test_left(self, on: int, left: int) -> None:
        """Thirty days from the day it came, common practice, no source: overdue from the day after the last one."""
        assert days_left(ON + timedelta(days=ANSWER_DAYS), on=ON + timedelta(days=on)) == left


class TestFlaws:
    @pytest.mark.parametrize(
        ("changes", "expected"),
        [
            ({}, ()),
            ({"has_card": False}, (Flaw.NO_CARD,)),
            ({"has_card": False, "about": About.TRAINING}, ()),
            ({"own_card": True}, (Flaw.OWN_CARD,)),
            ({"own_card": True, "about": About.ASSESSMENT}, ()),
            ({"against_oneself": True}, (Flaw.ONESELF,)),
            ({"happened_on": ON + timedelta(days=1)}, (Flaw.FUTURE,)),
            ({"happened_on": ON}, ()),
            ({"came_on": ON + timedelta(days=1)}, (Flaw.NOT_YET_COME,)),
        ],
    )
    def test_each(self, changes: dict[str, object], expected: tuple[Flaw, ...]) -> None:
        facts: dict[str, object] = {"about": About.WORK, "has_card": True, "own_card": False, "against_oneself": False}
        facts |= {"happened_on": None, "came_on": ON, "on": ON}
        assert flaws(**(facts | changes)) == expected  # type: ignore[arg-type]


class TestCourse:
    @pytest.mark.parametrize(
        ("past", "who", "stands", "then"),
        [
            ([], None, State.WAITS, None),
            ([TAKEN], MAX, State.LOOKED_INTO, Step.ASKED),
            ([TAKEN, DOWN], None, State.WAITS, None),
            ([TAKEN, DOWN, Entry(step=Step.TAKEN, by=DORA)], DORA, State.LOOKED_INTO, Step.ASKED),
            ([TAKEN, ASKED], MAX, State.SIDE_ASKED, None),
            ([TAKEN, ASKED, SIDE], MAX, State.LOOKED_INTO, Step.FOUND),
            ([TAKEN, ASKED, SIDE, FOUND], MAX, State.FOUND, Step.DONE),
            ([TAKEN, FOUND, Entry(step=Step.DONE, by=MAX)], MAX, State.FOUND, Step.CLOSED),
            ([TAKEN, FOUND, CLOSED], MAX, State.CLOSED, None),
        ],
    )
    def test_how_it_stands(self, past: list[Entry], who: int | None, stands: State, then: Step | None) -> None:
        assert (handler(past), state(past), next_step(past, against=True)) == (who, stands, then)

    def test_sides_of_several(self) -> None:
        """Each waits for itself, and who is asked again answers once more."""
        ben = Entry(step=Step.ASKED, by=MAX, asked=BEN, until=ON)
        assert [one.asked for one in sides_open([ASKED, ben, SIDE])] == [BEN]
        assert [one.asked for one in sides_open([ASKED, SIDE, ASKED])] == [ADA]

    @pytest.mark.parametrize(
        ("step", "past", "by", "finding", "expected"),
        [
            (Step.TAKEN, [], MAX, None, None),
            (Step.TAKEN, [TAKEN], DORA, None, Refusal.HANDLED),
            (Step.WORD, [], MAX, None, Refusal.WAITS),
            (Step.WORD, [TAKEN], DORA, None, Refusal.HANDLED),
            (Step.WORD, [TAKEN], MAX, None, None),
            (Step.SIDE, [TAKEN, ASKED], ADA, None, None),
            (Step.SIDE, [TAKEN, ASKED, SIDE], ADA, None, Refusal.NOT_ASKED),
            (Step.FOUND, [TAKEN], MAX, Finding.UPHELD, Refusal.UNHEARD),
            (Step.FOUND, [TAKEN], MAX, Finding.NOT_UPHELD, None),
            (Step.FOUND, [TAKEN, ASKED], MAX, Finding.PARTLY, Refusal.SIDE_OPEN),
            (Step.FOUND, [TAKEN, ASKED, SIDE], MAX, Finding.PARTLY, None),
            (Step.CLOSED, [TAKEN], MAX, None, Refusal.NO_FINDING),
            (Step.CLOSED, [TAKEN, FOUND], MAX, None, None),
            (Step.WORD, [TAKEN, FOUND, CLOSED], MAX, None, Refusal.CLOSED),
            (Step.PUT_RIGHT, [TAKEN, FOUND, CLOSED], MAX, None, None),
            (Step.PUT_RIGHT, [TAKEN, FOUND, CLOSED], DORA, None, Refusal.HANDLED),
        ],
    )
    def test_what_may_follow(
        self, step: Step, past: list[Entry], by: int, finding: Finding | None, expected: Refusal | None
    ) -> None:
        """Nobody is found against unheard: to hear the other side is a rule of fairness older than any standard."""
        assert refusal(step, past, by=by, on=ON, finding=finding, against=True, gone=False) is expected

    def test_the_other_side_has_so_many_days(self) -> None:
        """After the last of them a finding may go against who did not answer."""
        facts = {"by": MAX, "finding": Finding.UPHELD, "against": True, "gone": False}
        assert refusal(Step.FOUND, [TAKEN, ASKED], on=ON + timedelta(days=1), **facts) is None  # type: ignore[arg-type]

    def test_where_nobody_is_complained_of(self) -> None:
        """There is no other side to hear, until one is asked."""
        assert next_step([TAKEN], against=False) is Step.FOUND
        facts = {"by": MAX, "on": ON, "finding": Finding.UPHELD, "against": False, "gone": False}
        assert refusal(Step.FOUND, [TAKEN], **facts) is None  # type: ignore[arg-type]
        assert refusal(Step.FOUND, [TAKEN, ASKED], **facts) is Refusal.SIDE_OPEN  # type: ignore[arg-type]

    def test_whose_handler_has_left(self) -> None:
        facts = {"by": DORA, "on": ON, "finding": None, "against": True, "gone": True}
        assert refusal(Step.TAKEN, [TAKEN], **facts) is None  # type: ignore[arg-type]
        assert refusal(Step.WORD, [TAKEN], **facts) is Refusal.HANDLED  # type: ignore[arg-type]
        assert refusal(Step.PUT_RIGHT, [TAKEN, FOUND, CLOSED], **facts) is None  # type: ignore[arg-type]


class TestEyes:
    @pytest.mark.parametrize(
        ("complainant", "asked", "handles", "found", "expected"),
        [
            (True, False, False, (Tie.COMPLAINANT,), Eyes.COMPLAINANT),
            (False, True, True, (Tie.COMPLAINED_OF,), Eyes.ASKED),
            (False, False, True, (Tie.ASSESSED,), Eyes.HANDLER),
            (False, False, False, (), Eyes.READER),
            (False, False, False, (Tie.DECIDED,), Eyes.TIED),
            (False, False, False, (Tie.COMPLAINED_OF,), None),
            (False, False, False, (Tie.NOT_ADMINISTRATOR,), None),
            (False, False, False, (Tie.CLOSED,), None),
        ],
    )
    def test_as_whom(
        self, complainant: bool, asked: bool, handles: bool, found: tuple[Tie, ...], expected: Eyes | None
    ) -> None:
        """Who is complained of does not learn of it before they are asked, whatever else they are."""
        assert eyes(is_complainant=complainant, was_asked=asked, is_handler=handles, found=found) is expected

    def test_which_steps(self) -> None:
        """The finding's reasons and what others said are for those who handle it."""
        assert {one for one in Step if is_shown(one, to=Eyes.COMPLAINANT)} == {Step.TAKEN, Step.WORD, Step.CLOSED}
        assert {one for one in Step if is_shown(one, to=Eyes.ASKED)} == {Step.ASKED, Step.SIDE}
        assert all(is_shown(one, to=Eyes.HANDLER) and is_shown(one, to=Eyes.READER) for one in Step)
        assert not any(is_shown(one, to=Eyes.TIED) for one in Step)
