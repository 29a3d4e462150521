"""What a plan may not do, what it is asked for beyond that, and how a search is told of and ended."""

import pytest

from certs.crewing.rules import COVER, Fault, Rule, Rules, Shortage, check, cost, propose, searching, shortages
from certs.crewing.rules.sheet import Sheet, Solved
from tests.certs.crewing.cases import day, generated, hand, job, turn

RULES = Rules()


def faults(turns: object, jobs: object, hands: object, rules: Rules = RULES) -> list[tuple[Rule, int]]:
    return [(fault.rule, fault.number) for fault in check(turns, jobs, hands, rules=rules)]  # type: ignore[arg-type]


class TestCheck:
    """Each hard rule by itself."""

    def test_nothing_wrong(self) -> None:
        """A plan within all rules has no fault, and neither has an empty one."""
        jobs, hands = [job("a", 0, 1, cover=True)], [hand("ann"), hand("bob", supervisor=True)]
        turns = [turn(0, "a", "ann"), turn(1, "a", "ann"), turn(0, "a", "bob", COVER)]
        assert check(turns, jobs, hands, rules=RULES) == ()
        assert check([], jobs, hands, rules=RULES) == ()

    def test_unknown(self) -> None:
        """A job or a hand nobody knows is told, and judged no further."""
        assert faults([turn(0, "x", "ann"), turn(0, "a", "eve")], [job("a")], [hand("ann")]) == [(Rule.KNOWN, 0)] * 2

    @pytest.mark.parametrize(
        ("who", "rule"),
        [
            (hand("ann", employer="south"), Rule.EMPLOYER),
            (hand("ann", may=[("leads", -90, 90)]), Rule.CARD),
            (hand("ann", may=[("bonds", -90, -1), ("bonds", 1, 90)]), Rule.CARD),
            (hand("ann", away=[(-3, 0)]), Rule.AWAY),
        ],
    )
    def test_who(self, who: object, rule: Rule) -> None:
        """Nobody works for another employer, without a card that holds that day, or on a day away."""
        assert faults([turn(0, "a", "ann")], [job("a")], [who]) == [(rule, 0)]

    def test_last_day_counts(self) -> None:
        """A card holds on its last day (decisions: the end of the last day)."""
        assert faults([turn(0, "a", "ann")], [job("a")], [hand("ann", may=[("bonds", -90, 0)])]) == []

    def test_cover(self) -> None:
        """In a supervisor's place stands a supervisor, where the job asks for one."""
        assert faults([turn(0, "a", "ann", COVER)], [job("a", cover=True)], [hand("ann")]) == [(Rule.SUPERVISOR, 0)]
        lead = hand("ann", supervisor=True)
        assert faults([turn(0, "a", "ann", COVER)], [job("a")], [lead]) == [(Rule.WANTED, 0)]

    def test_wanted(self) -> None:
        """Nobody stands where nobody is wanted: another scheme, another day, or too many."""
        jobs, ann = [job("a")], hand("ann", may=[("bonds", -9, 9), ("leads", -9, 9)])
        assert faults([turn(0, "a", "ann", "leads")], jobs, [ann]) == [(Rule.WANTED, 0)]
        assert faults([turn(1, "a", "ann")], jobs, [ann]) == [(Rule.WANTED, 0)]
        assert faults([turn(0, "a", "ann"), turn(0, "a", "bob")], jobs, [ann, hand("bob")]) == [(Rule.WANTED, 1)]

    def test_one_place(self) -> None:
        """One place a day, though the two be at one job."""
        both = hand("ann", may=[("bonds", -9, 9), ("leads", -9, 9)])
        jobs = [job("a", wants=[("bonds", 1), ("leads", 1)])]
        assert faults([turn(0, "a", "ann"), turn(0, "a", "ann", "leads")], jobs, [both]) == [(Rule.ONE_PLACE, 0)]

    def test_rest(self) -> None:
        """After a night no day (Directive 2003/88/EC, article 3: eleven hours of rest a day); after a day a night."""
        jobs = [job("day", 0, 1), job("night", 0, 1, night=True)]
        assert faults([turn(0, "night", "ann"), turn(1, "day", "ann")], jobs, [hand("ann")]) == [(Rule.REST, 0)]
        assert faults([turn(0, "day", "ann"), turn(1, "night", "ann")], jobs, [hand("ann")]) == []
        assert faults([turn(0, "night", "ann"), turn(1, "night", "ann")], jobs, [hand("ann")]) == []

    def test_row(self) -> None:
        """Six days in a row and no seventh (Directive 2003/88/EC, article 5: a day of rest in seven)."""
        jobs, ann = [job("a", 0, 8)], [hand("ann")]
        assert faults([turn(number, "a", "ann") for number in range(6)], jobs, ann) == []
        assert faults([turn(number, "a", "ann") for number in range(7)], jobs, ann) == [(Rule.ROW, 7)]
        assert faults([turn(number, "a", "ann") for number in (0, 1, 2, 4, 5, 6, 7, 8)], jobs, ann) == []


class TestWishes:
    """What a plan costs, counted by hand."""

    def test_counted(self) -> None:
        """Two at one place and back after a day elsewhere are three journeys; one turn is for another crew's job."""
        jobs = [job("a", 0, 3, place="Ash"), job("b", 2, place="Elm", crew="blue")]
        turns = [turn(0, "a", "ann"), turn(1, "a", "ann"), turn(2, "b", "ann"), turn(3, "a", "ann")]
        wishes = cost(turns, jobs, [hand("ann"), hand("bob")], rules=RULES)
        # Five turns for two are three each at most, so the fourth is uneven.
        assert (wishes.strangers, wishes.journeys, wishes.uneven, wishes.slots) == (1, 3, 1, 0)
        assert wishes.points == 4 + 3 * 3 + 1

    @pytest.mark.parametrize(("ends", "busy", "missed"), [(3, (2, 3), 1), (3, (2,), 0), (4, (2, 3), 0), (9, (8, 9), 0)])
    def test_slot(self, ends: int, busy: tuple[int, ...], missed: int) -> None:
        """A day is to be free of the two before a card ends, or the wish for training is missed."""
        jobs, ann = [job("a", 0, 5)], hand("ann", may=[("bonds", -9, ends)])
        turns = [turn(number, "a", "ann") for number in busy if number <= 5]
        assert cost(turns, jobs, [ann], rules=Rules(slot_days=2)).slots == missed

    def test_no_slot_needed(self) -> None:
        """A card that is renewed already asks for nothing, and days away are no choice."""
        jobs = [job("a", 0, 5)]
        renewed = hand("ann", may=[("bonds", -9, 2), ("bonds", 3, 90)])
        turns = [turn(1, "a", "ann"), turn(2, "a", "ann")]
        assert cost(turns, jobs, [renewed], rules=Rules(slot_days=2)).slots == 0
        gone = hand("ann", may=[("bonds", -9, 2)], away=[(1, 2)])
        assert cost([], jobs, [gone], rules=Rules(slot_days=2)).slots == 0

    def test_nothing_asked(self) -> None:
        """Without jobs there is nothing to count, and a plan of none."""
        assert cost([], [], [hand("ann")], rules=RULES).points == 0
        nothing = propose([], [hand("ann")], rules=RULES)
        assert (nothing.turns, nothing.short, nothing.proven, nothing.gap) == ((), (), True, 0.0)


class TestPropose:
    """What is proposed, told short, and ended."""

    def test_stays_with_the_job(self) -> None:
        """Whoever begins a job goes on with it, and the own crew goes first."""
        jobs = [job("a", 0, 2, crew="red")]
        proposal = propose(jobs, [hand("ann", crew="blue"), hand("bob")], rules=RULES)
        assert [one.hand for one in proposal.turns] == ["bob"] * 3
        # One journey, and one turn above the share of two.
        assert (proposal.wishes.points, proposal.least, proposal.gap) == (4, 4, 0.0)

    @pytest.mark.parametrize(
        ("jobs", "hands", "rules", "without"),
        [
            ([job("n", 0, night=True), job("a", 1)], [hand("ann")], RULES, (Rule.REST,)),
            ([job("a", 0, 1)], [hand("ann")], Rules(row=1), (Rule.ROW,)),
            ([job("a")], [hand("ann", away=[(0, 0)])], RULES, (Rule.AWAY,)),
            ([job("a")], [hand("ann", may=[("bonds", -9, -1)])], RULES, (Rule.CARD,)),
            ([job("a")], [hand("ann", may=[])], RULES, ()),
            ([job("a")], [hand("ann", may=[("bonds", -9, -1)], away=[(0, 0)])], RULES, ()),
            ([job("a"), job("b")], [hand("ann")], RULES, ()),
            ([job("a", cover=True)], [hand("ann")], RULES, ()),
        ],
    )
    def test_what_blocks(self, jobs: object, hands: object, rules: Rules, without: tuple[Rule, ...]) -> None:
        """A place left open says which rule alone is in the way, or none where more than one is or people lack."""
        proposal = propose(jobs, hands, rules=rules)  # type: ignore[arg-type]
        assert [(one.missing, one.without) for one in proposal.short] == [(1, without)]

    def test_what_blocks_one_of_several(self) -> None:
        """Three are missing and one is away: with that one there, two would be."""
        jobs, hands = [job("a", wants=[("bonds", 3)])], [hand("ann", away=[(0, 0)])]
        assert [(one.missing, one.without) for one in propose(jobs, hands, rules=RULES).short] == [(3, (Rule.AWAY,))]

    def test_what_nobody_has_a_card_for_takes_no_search(self) -> None:
        """However many such places come first, the one after them is looked into."""
        jobs = [job("a", 0, 20, wants=[("leads", 1)]), job("b", 21)]
        found = propose(jobs, [hand("ann", away=[(21, 21)])], rules=RULES).short
        assert [one.without for one in found] == [()] * 21 + [(Rule.AWAY,)]

    def test_another_employers_hands(self) -> None:
        """Each employer's jobs are crewed from its own people; without any, everything is open."""
        jobs = [job("a"), job("b", employer="south"), job("c", employer="west")]
        proposal = propose(jobs, [hand("ann"), hand("sam", employer="south")], rules=RULES)
        assert proposal.turns == (turn(0, "a", "ann"), turn(0, "b", "sam"))
        assert proposal.short == (Shortage(day(0), "c", "bonds", 1),)

    def test_kept(self) -> None:
        """Turns that stand stay, and those around them keep their rest, their row and their journeys."""
        jobs = [job("n", 0, night=True), job("a", 1), job("b", 1, 3, place="n"), job("c", 4, night=True), job("d", 5)]
        kept = [turn(0, "n", "ann"), turn(5, "d", "ann")]
        proposal = propose(jobs, [hand("ann"), hand("bob")], rules=Rules(row=2), kept=kept)
        assert {*kept} <= {*proposal.turns}
        assert check(proposal.turns, jobs, [hand("ann"), hand("bob")], rules=Rules(row=2)) == ()
        assert turn(4, "c", "bob") in proposal.turns
        full = propose(
            [job("a", 0, 3)], [hand("ann")], rules=Rules(row=2), kept=[turn(1, "a", "ann"), turn(2, "a", "ann")]
        )
        assert len(full.turns) == 2

    def test_kept_journey(self) -> None:
        """A turn that stands is a reason to be at its place the day before, and the day after."""
        jobs = [job("a", 0, 2, place="Ash"), job("b", 0, 2, place="Elm")]
        hands = [hand("ann"), hand("bob")]
        proposal = propose(jobs, hands, rules=RULES, kept=[turn(1, "b", "ann")])
        assert [one.hand for one in proposal.turns if one.job == "b"] == ["ann"] * 3
        assert proposal.wishes.journeys == 2

    def test_progress_and_end(self) -> None:
        """Progress is told before each step; answering False leaves the best plan so far, within the rules."""
        told: list[tuple[int, int]] = []
        jobs, hands = generated(3, hands=6, jobs=6, length=8)

        def twice(done: int, of: int) -> bool:
            told.append((done, of))
            return len(told) < 3

        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(searching, "SMALL", 0)
            patch.setattr(searching, "ROUNDS", 1)
            proposal = propose(jobs, hands, rules=RULES, progress=twice)
        assert [done for done, _of in told] == [0, 1, 2]
        assert told[0][1] >= len(told)
        assert proposal.stopped
        assert not proposal.proven
        assert all(one.without == () for one in proposal.short)
        assert check(proposal.turns, jobs, hands, rules=RULES) == ()

    def test_no_time(self) -> None:
        """Without any time there is the greedy plan, and it says so."""
        proposal = propose([job("a", 0, 2)], [hand("ann")], rules=RULES, seconds=0)
        assert (proposal.stopped, proposal.proven, len(proposal.turns)) == (True, False, 3)

    def test_nothing_found(self) -> None:
        """Where the solver finds nothing, the greedy plan stays, and the days are not gone through again."""
        told: list[int] = []
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(searching, "SMALL", 0)
            patch.setattr(Sheet, "solve", lambda _sheet, **_options: Solved((), False))
            proposal = propose(
                [job("a", 0, 2)], [hand("ann")], rules=RULES, progress=lambda done, _of: not told.append(done)
            )
        assert (len(proposal.turns), proposal.proven, told) == (3, False, [0, 1])

    def test_bound_without_proof(self) -> None:
        """Without proof, the bound counts strangers, journeys and turns above the share that nobody can spare."""
        jobs = [job("a", 0, 2, crew="blue")]
        proposal = propose(jobs, [hand("ann"), hand("bob", may=[])], rules=RULES, seconds=0)
        # Three turns of a stranger, one journey, and three turns less the share of two.
        assert (proposal.least, proposal.wishes.points) == (3 * 4 + 3 + 1, 16)


class TestSheet:
    """The programme itself."""

    def test_empty(self) -> None:
        """Nothing asked is solved."""
        assert Sheet().solve(seconds=1) == Solved((), True)

    def test_impossible(self) -> None:
        """Where no solution is, none is given."""
        sheet = Sheet()
        sheet.bind([sheet.variable(1)], lowest=2)
        assert sheet.solve(seconds=1) == Solved((), False)


def test_shortages_count_each_turn_once() -> None:
    """The same turn written twice fills one place."""
    jobs = [job("a", wants=[("bonds", 2)], cover=True)]
    found = shortages([turn(0, "a", "ann"), turn(0, "a", "ann")], jobs)
    assert found == (Shortage(day(0), "a", COVER, 1), Shortage(day(0), "a", "bonds", 1))
    assert Fault(day(0), "ann", "a", Rule.CARD) < Fault(day(1), "ann", "a", Rule.AWAY)
