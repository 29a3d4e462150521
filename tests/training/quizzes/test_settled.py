"""What is settled before a sitting: time and breaks, consent and identity, retraining, and what was seen elsewhere."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest

from tests.cast import AT, ON
from tests.training.procedures.content import module
from tests.training.quizzes.pool import CELLS, paper, place, questions, right
from training.bank import operations as bank
from training.bank.models import Question, QuestionVersion
from training.ledger.models import Entry
from training.procedures import operations as procedures
from training.procedures.models import HoldAnswer, Revision
from training.quizzes import operations, queries
from training.quizzes.models import Accommodation, Admission, Paper, Retraining, Seen, Sitting

MINUTE = timedelta(minutes=1)
HOUR = timedelta(hours=1)
DAY = timedelta(days=1)


def open_for(person, theory, *, at=AT, seed="s1"):
    return operations.open_sitting(person=person, paper=theory, seed=seed, at=at)


def settle(site, theory, *, factor="1.25", breaks=0, person=None, by=None, at=AT):
    facts = {"person": person or site.ada, "by": by or site.tess, "break_minutes": breaks, "reason": "reads slowly"}
    return operations.accommodate(paper=theory, factor=Decimal(factor), at=at, **facts)


def issue(**changed):
    """Bring out the next issue of the paper."""
    operations.load_papers([paper(version=2, **changed)], at=AT)


def miss(person, theory, *, at):
    return operations.hand_in(sitting=open_for(person, theory, at=at, seed=str(at)), answers={}, at=at)


def keys(sitting):
    return set(sitting.items.values_list("question_version__question__key", flat=True))


class TestTime:
    @pytest.mark.parametrize(("minutes", "factor", "wanted"), [(40, "1.25", 50), (60, "1.33", 80), (60, "1", 60)])
    def test_is_the_papers_own_times_the_factor_rounded_up_to_the_minute(self, site, theory, minutes, factor, wanted):
        """40 min x 1.25 = 50; 60 x 1.33 = 79.8, so 80."""
        issue(minutes=minutes)
        settle(site, theory, factor=factor)
        sitting = open_for(site.ada, theory)
        assert sitting.due_at - sitting.opened_at == timedelta(minutes=wanted)
        assert sitting.accommodation.factor == Decimal(factor)

    def test_is_that_of_the_last_decision_for_the_same_person_and_paper(self, site, theory):
        settle(site, theory, factor="2")
        settle(site, theory, factor="1.5", at=AT + MINUTE)
        assert open_for(site.ada, theory, at=AT + HOUR).due_at == AT + HOUR + 90 * MINUTE
        assert open_for(site.ben, theory).due_at == AT + HOUR
        assert open_for(site.ben, theory).accommodation is None

    def test_is_never_settled_during_a_sitting_nor_about_oneself(self, site, theory):
        open_for(site.ada, theory)
        with pytest.raises(operations.NotArranged, match="never during one"):
            settle(site, theory)
        with pytest.raises(operations.NotArranged, match="their own time"):
            settle(site, theory, person=site.tess)
        assert not Accommodation.objects.exists()

    def test_goes_into_the_ledger_without_its_reason(self, site, theory):
        settle(site, theory)
        entry = Entry.objects.get()
        assert (entry.act, entry.by) == ("time on a paper settled", site.tess.pk)
        assert "slowly" not in str(entry.about)


class TestBreak:
    def test_stops_the_clock(self, site, theory):
        settle(site, theory, breaks=20)
        sitting = open_for(site.ada, theory)
        due = sitting.due_at
        operations.begin_break(sitting=sitting, at=AT + 10 * MINUTE)
        with pytest.raises(operations.OnBreak):
            operations.keep(sitting=sitting, answers={}, at=AT + 15 * MINUTE)
        with pytest.raises(operations.OnBreak):
            operations.hand_in(sitting=sitting, answers={}, at=AT + 15 * MINUTE)
        ended = operations.end_break(sitting=sitting, at=AT + 22 * MINUTE)
        assert (ended.due_at, ended.break_left, ended.paused_at) == (due + 12 * MINUTE, 8 * MINUTE, None)
        assert [entry.act for entry in Entry.objects.order_by("seq")][1:] == ["break begun", "break ended"]

    def test_stops_it_for_no_longer_than_was_settled(self, site, theory):
        settle(site, theory, factor="1", breaks=20)
        sitting = open_for(site.ada, theory)
        operations.begin_break(sitting=sitting, at=AT)
        assert operations.end_break(sitting=sitting, at=AT + 30 * MINUTE).due_at == AT + 80 * MINUTE
        with pytest.raises(operations.NoBreak):
            operations.begin_break(sitting=sitting, at=AT + 31 * MINUTE)

    def test_twice_begun_or_ended_changes_nothing(self, site, theory):
        settle(site, theory, breaks=20)
        sitting = open_for(site.ada, theory)
        operations.end_break(sitting=sitting, at=AT)
        operations.begin_break(sitting=sitting, at=AT)
        assert operations.begin_break(sitting=sitting, at=AT + 5 * MINUTE).paused_at == AT

    def test_without_one_settled_there_is_none(self, site, theory):
        with pytest.raises(operations.NoBreak):
            operations.begin_break(sitting=open_for(site.ada, theory), at=AT)

    def test_ends_with_the_paper_when_all_time_is_over(self, site, theory):
        """A break that is never ended uses up its own minutes and then the paper's."""
        settle(site, theory, factor="1", breaks=20)
        sitting = open_for(site.ada, theory)
        operations.begin_break(sitting=sitting, at=AT)
        for act in (operations.begin_break, operations.end_break):
            with pytest.raises(operations.Closed):
                act(sitting=sitting, at=AT + 3 * HOUR)
        sitting.refresh_from_db()
        assert (sitting.handed_in_at, sitting.paused_at) == (AT + 80 * MINUTE, None)

    def test_is_not_lengthened_by_a_clock_set_back(self, site, theory):
        settle(site, theory, breaks=20)
        sitting = open_for(site.ada, theory)
        operations.begin_break(sitting=sitting, at=AT + 10 * MINUTE)
        ended = operations.end_break(sitting=sitting, at=AT)
        assert (ended.due_at, ended.break_left) == (sitting.due_at, 20 * MINUTE)


class TestConsent:
    def test_is_recorded_with_its_moment_before_the_sitting(self, site, theory):
        sitting = open_for(site.ada, theory)
        assert (sitting.admission.agreed_at, sitting.admission.invigilator) == (AT, None)

    def test_of_an_earlier_refusal_is_renewed(self, site, theory):
        bank.load_questions([], at=AT)
        with pytest.raises(operations.PoolTooSmall):
            open_for(site.ada, theory)
        bank.load_questions(questions(), at=AT)
        assert open_for(site.ada, theory, at=AT + HOUR).admission.agreed_at == AT + HOUR


class TestIdentity:
    @pytest.fixture
    def waiting(self, site, theory):
        issue(invigilated=True)
        with pytest.raises(operations.NotAdmitted):
            open_for(site.ada, theory)
        return Admission.objects.get()

    def admit(self, waiting, by, *, trained=False, at=AT + MINUTE):
        return operations.admit(admission=waiting, by=by, trained=trained, at=at, on=ON)

    def test_is_waited_for_with_the_consent_on_record(self, site, theory, waiting):
        assert (waiting.agreed_at, waiting.admitted_at) == (AT, None)
        with pytest.raises(operations.NotAdmitted):
            open_for(site.ada, theory)
        assert not Sitting.objects.exists()

    def test_opens_the_paper_once_confirmed(self, site, theory, waiting):
        self.admit(waiting, site.tess)
        sitting = open_for(site.ada, theory, at=AT + 2 * MINUTE)
        assert (sitting.admission.invigilator, sitting.admission.agreed_at) == (site.tess, AT)
        assert Entry.objects.get().act == "identity confirmed"

    def test_is_not_confirmed_by_oneself_by_who_trained_them_or_by_no_trainer(self, site, theory, waiting):
        for by, trained, words in [
            (site.ada, False, "their own identity"),
            (site.tess, True, "You trained this candidate"),
            (site.max, False, "Only a trainer"),
            (site.sol, False, "Only a trainer"),
        ]:
            with pytest.raises(operations.NotArranged, match=words):
                self.admit(waiting, by, trained=trained)
        assert not Admission.objects.exclude(admitted_at=None).exists()

    def test_survives_a_server_clock_set_back(self, site, theory, waiting):
        assert self.admit(waiting, site.tess, at=AT - HOUR).admitted_at == AT

    def test_is_looked_at_again_after_half_an_hour(self, site, theory, waiting):
        self.admit(waiting, site.tess)
        with pytest.raises(operations.NotAdmitted):
            open_for(site.ada, theory, at=AT + 32 * MINUTE)
        waiting.refresh_from_db()
        assert (waiting.agreed_at, waiting.invigilator) == (AT + 32 * MINUTE, None)

    def test_of_a_sitting_that_is_open_stays_as_it_is(self, site, theory, waiting):
        self.admit(waiting, site.tess)
        open_for(site.ada, theory, at=AT + 2 * MINUTE)
        again = self.admit(waiting, site.olga, at=AT + 3 * MINUTE)
        assert (again.invigilator, again.admitted_at) == (site.tess, AT + MINUTE)


class TestRetraining:
    @pytest.fixture
    def missed(self, site, theory):
        """Four misses within twelve months, and the day from which the paper is free again."""
        bank.load_questions(questions(4), at=AT)
        issue(retraining_first=True, waits_days=(1,))
        for day in range(4):
            miss(site.ada, theory, at=AT + day * DAY)
        return AT + 4 * DAY

    def record(self, site, theory, *, on, person=None, by=None, at=AT):
        facts = {"person": person or site.ada, "by": by or site.tess, "ended_on": on}
        return operations.record_retraining(paper=theory, at=at, on=ON + 30 * DAY, **facts)

    def test_comes_before_a_fifth_sitting_where_the_paper_says_so(self, site, theory, missed):
        with pytest.raises(operations.MustRetrain, match="retraining comes first"):
            open_for(site.ada, theory, at=missed)
        self.record(site, theory, on=missed.date())
        assert open_for(site.ada, theory, at=missed)

    def test_before_the_last_miss_does_not_count(self, site, theory, missed):
        self.record(site, theory, on=ON - DAY)
        with pytest.raises(operations.MustRetrain):
            open_for(site.ada, theory, at=missed)

    def test_is_advised_only_where_the_paper_does_not_ask(self, site, theory, missed):
        operations.load_papers([paper(version=3, waits_days=(1,))], at=AT)
        row = queries.row(site.ada, queries.issue_of(theory), at=missed)
        assert (row.many_misses, row.must_retrain, row.may) == (True, False, True)
        assert open_for(site.ada, theory, at=missed)

    def test_is_no_longer_asked_when_a_miss_is_twelve_months_old(self, site, theory, missed):
        late = AT.replace(year=AT.year + 1)
        assert open_for(site.ada, theory, at=late)

    def test_is_recorded_once_a_day_by_another_and_never_for_later(self, site, theory):
        assert self.record(site, theory, on=ON) == self.record(site, theory, on=ON)
        with pytest.raises(operations.NotArranged, match="their own retraining"):
            self.record(site, theory, on=ON, person=site.tess)
        with pytest.raises(operations.NotArranged, match="not in the future"):
            self.record(site, theory, on=ON + 31 * DAY)
        assert Retraining.objects.count() == 1
        assert Entry.objects.filter(act="retraining recorded").count() == 1


class TestTopics:
    """A paper taken by its topics: what falls short is sat again alone within six months."""

    @pytest.fixture
    def short(self, site, theory):
        """Ada's sitting with all of `setup` wrong and the rest right, and the day on which she may sit again."""
        bank.load_questions(questions(4), at=AT)
        issue(part_months=6, waits_days=(1,))
        sitting = open_for(site.ada, theory)
        answers = right(sitting)
        for kind in ("drop", "chain"):
            del answers[place(sitting, kind)]
        return operations.hand_in(sitting=sitting, answers=answers, at=AT)

    def test_fails_by_the_topic_and_names_it(self, site, theory, short):
        assert (short.passed, short.short) == (False, ["setup"])

    def test_asks_only_the_topic_that_fell_short_in_its_share_of_the_time(self, site, theory, short):
        again = open_for(site.ada, theory, at=AT + DAY)
        assert {item.shown["topic"] for item in again.items.all()} == {"setup"}
        assert (again.out_of, again.resumes, again.due_at - again.opened_at) == (2, short, 24 * MINUTE)  # 60 x 2/5
        assert not keys(again) & keys(short)
        passed = operations.hand_in(sitting=again, answers=right(again), at=AT + DAY)
        assert passed.passed
        assert queries.passed_sitting(site.ada, theory.slug) == passed

    def test_asks_the_same_topic_until_it_is_good_enough(self, site, theory, short):
        operations.hand_in(sitting=open_for(site.ada, theory, at=AT + DAY), answers={}, at=AT + DAY)
        third = open_for(site.ada, theory, at=AT + 2 * DAY)
        assert (third.out_of, third.resumes) == (2, short)

    @pytest.mark.parametrize(("on", "out_of"), [(date(2027, 5, 25), 2), (date(2027, 5, 26), 5)])
    def test_asks_the_whole_paper_after_six_months(self, site, theory, short, on, out_of):
        assert open_for(site.ada, theory, at=AT + (on - ON)).out_of == out_of

    def test_falls_short_by_a_safety_question_alone(self, site, theory):
        issue(part_months=6, passing=Fraction(1, 5))
        sitting = open_for(site.ada, theory)
        answers = right(sitting)
        del answers[1]
        assert operations.hand_in(sitting=sitting, answers=answers, at=AT).short == ["safety"]


class TestOtherQuestions:
    def test_repeat_none_of_any_sitting_while_others_last(self, site, theory):
        bank.load_questions(questions(3), at=AT)
        issue(waits_days=())
        first, second, third = (miss(site.ada, theory, at=AT + day * DAY) for day in range(3))
        assert not keys(first) & keys(second)
        assert not keys(third) & (keys(first) | keys(second))
        fourth = open_for(site.ada, theory, at=AT + 3 * DAY)
        assert not keys(fourth) & keys(third)

    def test_leave_out_what_was_practised_on_the_local_day(self, site, theory):
        practised = Question.objects.get(key="drop-1")
        operations.note_seen(person=site.ada, questions=[practised], on=ON)
        operations.note_seen(person=site.ada, questions=[practised], on=ON)
        for seed in range(4):
            issue_of = open_for(site.ada, theory, seed=str(seed))
            assert "drop-1" not in keys(issue_of)
        assert Seen.objects.count() == 1
        assert queries.seen_outside(site.ada, on=ON + DAY) == set()

    def test_leave_out_what_was_asked_at_a_hold_point_on_the_local_day(self, site, theory):
        procedures.load([module()], at=AT)
        version = QuestionVersion.objects.get(question__key="chain-1")
        HoldAnswer.objects.create(
            person=site.ada, revision=Revision.objects.get(), step="earth", words="w", question_version=version, turn=1,
            given={}, told={}, is_right=True, answered_at=AT,
        )  # fmt: skip
        assert "chain-1" not in keys(open_for(site.ada, theory))
        assert queries.seen_outside(site.ada, on=ON) == {"chain-1"}
        assert queries.seen_outside(site.ada, on=ON + DAY) == set()

    def test_are_for_tomorrow_when_too_many_were_practised(self, site, theory):
        both = list(Question.objects.filter(key__startswith="drop-"))
        operations.note_seen(person=site.ada, questions=both, on=ON)
        with pytest.raises(operations.PoolTooSmall, match="Sit it tomorrow"):
            open_for(site.ada, theory)
        assert open_for(site.ada, theory, at=AT + DAY)

    def test_are_none_of_the_practice_pool(self, site, theory):
        specs = [replace(one, version=2, pool="practice") for one in questions(3) if one.key.endswith("-3")]
        bank.load_questions([*questions(2), *specs], at=AT)
        for person in (site.ada, site.ben, site.quin, site.sol, site.tess):
            assert not [key for key in keys(open_for(person, theory, seed=person.username)) if key.endswith("-3")]


class TestSupply:
    def test_says_of_each_cell_what_it_holds_and_how_worn_it_is(self, site, theory, django_assert_num_queries):
        open_for(site.ada, theory)
        with django_assert_num_queries(4):
            (row,) = queries.supply()
        assert row.short == ()
        assert {(cell.title, cell.level): (cell.count, cell.held, cell.wanting, cell.most_used) for cell in row.cells}[
            "setup", "apply"
        ] == (1, 2, 0, 1)

    def test_names_the_cell_that_is_short_and_the_paper_is_not_offered(self, site, theory):
        bank.load_questions([one for one in questions() if not one.key.startswith("drop")], at=AT)
        (row,) = queries.supply()
        assert [(cell.title, cell.level, cell.wanting) for cell in row.short] == [("setup", "apply", 1)]
        assert [cell.wanting for cell in row.cells] == [0, 1, 0, 0, 0]
        (offered,) = queries.index(site.ada, at=AT, weighed=True).papers
        assert (offered.wanting, offered.may) == (True, False)

    def test_finds_that_enemies_leave_a_paper_short(self, site, theory):
        specs = [replace(one, version=2, enemies=("set:all",)) for one in questions()]
        bank.load_questions(specs, at=AT)
        (row,) = queries.supply()
        assert row.short
        assert Paper.objects.get() == theory
        assert len(CELLS) == len(row.cells)
