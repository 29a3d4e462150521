"""A candidate asks about a mark; someone who had no part in the paper answers, and both marks are kept."""

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from fractions import Fraction

import pytest
from django.db import connection

from tests.cast import AT, ON, assemble
from tests.training.quizzes.pool import paper, place, questions
from tests.training.reviews.conftest import FOREMAN
from training.bank.operations import load_questions
from training.drafts.models import Draft
from training.ledger.models import Entry
from training.ledger.queries import fault
from training.quizzes import operations, queries
from training.quizzes.models import Admission, Paper, PartMark, Remark, Retraining
from training.reviews.models import Appeal
from training.reviews.operations import appealing
from training.reviews.queries import appeals
from training.reviews.rules import State

WHY = "The foreman had the paper in his hand."


@pytest.fixture
def missed(site, sit):
    """Ben's paper, not passed because of one question."""
    return sit(site.ben, one=FOREMAN)


def ask(sitting, *, position=None, by=None, on=ON):
    return appealing.ask(sitting=sitting, position=position, reason=WHY, by=by or sitting.person, at=AT, on=on)


def take(appeal, by):
    return appealing.take(appeal=appeal, by=by, at=AT, on=ON)


def answer(appeal, by, *, upheld=True, **shares):
    return appealing.answer(appeal=appeal, upheld=upheld, words="Both are named.", shares=shares, by=by, at=AT)


class TestAsk:
    def test_opens_one_appeal_however_often(self, site, missed):
        """Asked twice it is one, with one entry in the ledger."""
        first = ask(missed, position=place(missed, "one"))
        assert ask(missed, position=place(missed, "one")) == first
        assert (first.state, first.state_words) == (State.ASKED, "asked")
        assert Entry.objects.filter(act="appeal made").count() == 1
        assert ask(missed).item is None

    def test_is_for_who_sat_it_and_once_it_is_handed_in(self, site, sit, missed):
        """Nobody asks about another's paper, or about one that is open."""
        with pytest.raises(appealing.NotAppealed, match="Only who sat"):
            ask(missed, by=site.ada)
        with pytest.raises(appealing.NotAppealed, match="handed in"):
            ask(sit(site.ada, hand=False))

    def test_ends_after_thirty_days(self, site, missed):
        """House rule: the last day counts, the day after does not."""
        assert appeals.ask_until(missed) == ON + timedelta(days=30)
        with pytest.raises(appealing.TooLate):
            ask(missed, on=ON + timedelta(days=31))
        assert ask(missed, on=ON + timedelta(days=30))


class TestTake:
    def test_makes_a_person_its_owner_once(self, site, missed):
        """The first to take it looks at it; the next is told."""
        appeal = ask(missed, position=1)
        assert take(appeal, site.max).owner == site.max
        assert take(appeal, site.max).state is State.LOOKED_AT
        with pytest.raises(appealing.NotAppealed, match="Somebody else"):
            take(appeal, site.dora)

    def test_is_free_again_when_its_owner_has_left(self, site, missed):
        """Nobody waits for an account that is closed."""
        appeal = take(ask(missed), site.max)
        site.max.is_active = False
        site.max.save()
        assert appeals.page(appeals.appeals().get(), person=site.dora, is_staff=True).may_take
        assert take(appeal, site.dora).owner == site.dora

    def test_keeps_out_whoever_had_a_part(self, site, missed, version):
        """The candidate, who is no staff, who trained, let in, wrote or corrected: each is told which."""
        Retraining.objects.create(
            person=site.ben, paper=Paper.objects.get(), ended_on=ON, said_by=site.tess, recorded_at=AT
        )
        Admission.objects.filter(sitting=missed).update(invigilator=site.olga, admitted_at=AT)
        facts = {"made_by": site.dora, "made_at": AT, "changed_by": site.dora, "changed_at": AT}
        used = {"used_as": version("one"), "used_by": site.dora, "used_at": AT}
        Draft.objects.create(version=1, computation="", typed={}, **facts, **used)
        appeal = ask(missed, position=place(missed, "one"))
        for name, says in (("ben", "their own"), ("sol", "certification body"), ("tess", "trained"), ("olga", "let")):
            with pytest.raises(appealing.Involved, match=says):
                take(appeal, getattr(site, name))
        with pytest.raises(appealing.Involved, match="wrote the question"):
            take(appeal, site.dora)
        assert take(appeal, site.max).owner == site.max

    def test_keeps_out_who_trained_under_a_scheme_of_the_paper(self, site, missed, settings):
        """Rooms further up tell who trained whom."""
        settings.TRAINERS_NAMED_BY = [f"{__name__}.tess_trained"]
        with pytest.raises(appealing.Involved, match="trained"):
            take(ask(missed), site.tess)


def tess_trained(candidate, paper: str) -> set[int]:
    """Say that Tess trained everyone."""
    return set(type(candidate).objects.filter(username="tess").values_list("pk", flat=True))


class TestAnswer:
    def test_gives_a_new_mark_beside_the_old(self, site, missed):
        """The paper is passed since; what the hand-in wrote is left as it was."""
        appeal = take(ask(missed, position=place(missed, "one")), site.max)
        before = list(PartMark.objects.values())
        held = answer(appeal, site.max, answer=Fraction(1))
        assert (held.state, held.upheld, held.answer) == (State.ANSWERED, True, "Both are named.")
        assert (held.remark.was_passed, held.remark.passed) == (False, True)
        assert queries.counted(missed).passed
        assert list(PartMark.objects.values()) == before
        page = appeals.page(held, person=site.ben, is_staff=False)
        assert (page.was, page.now, page.now_passed, page.own) == ("4", "5", True, True)
        assert fault() == ""
        assert Entry.objects.order_by("-seq").first().act == "appeal answered"

    @pytest.mark.parametrize(
        ("upheld", "shares"), [(False, {"answer": Fraction(1)}), (True, {}), (True, {"answer": Fraction(0)})]
    )
    def test_leaves_the_mark_where_nothing_is_given(self, site, missed, upheld, shares):
        """An answer in words is enough."""
        held = answer(take(ask(missed, position=place(missed, "one")), site.max), site.max, upheld=upheld, **shares)
        assert (held.upheld, held.remark) == (upheld, None)
        assert not Remark.objects.exists()
        assert queries.counted(missed).earned == 4

    def test_answers_how_the_paper_was_held_in_words(self, site, missed):
        """There is no question to mark again."""
        assert answer(take(ask(missed), site.max), site.max).remark is None

    def test_is_once_and_by_its_owner(self, site, missed):
        """Another person's words, a second answer, a lower mark: refused."""
        appeal = take(ask(missed, position=place(missed, "drop")), site.max)
        with pytest.raises(appealing.NotAppealed, match="Only who took"):
            answer(appeal, site.dora)
        with pytest.raises(appealing.NotAppealed, match="keeps its mark or gets more"):
            answer(appeal, site.max, answer=Fraction(0))
        answer(appeal, site.max)
        with pytest.raises(appealing.NotAppealed, match="answered already"):
            answer(appeal, site.max)
        assert Appeal.objects.get().remark is None

    def test_gives_more_days_to_ask_about_the_new_mark(self, site, missed):
        """The days are counted from the last mark."""
        appeal = take(ask(missed, position=place(missed, "one")), site.max)
        at = AT + timedelta(days=20)
        shares = {"answer": Fraction(1, 2)}
        appealing.answer(appeal=appeal, upheld=True, words="Half.", shares=shares, by=site.max, at=at)
        assert appeals.ask_until(missed) == ON + timedelta(days=50)
        assert queries.counted(missed).earned == Fraction(9, 2)


@pytest.mark.both
@pytest.mark.django_db(transaction=True)
class TestTwins:
    def test_have_one_owner_and_one_new_mark(self):
        """Four people take it at once: one owns it. The owner answers from two windows: one new mark."""
        cast = assemble()
        load_questions(questions(1), at=AT)
        operations.load_papers([paper()], at=AT)
        sitting = operations.open_sitting(person=cast.ben, paper=Paper.objects.get(), seed="s", at=AT)
        operations.hand_in(sitting=sitting, answers={}, at=AT)
        appeal = ask(sitting, position=place(sitting, "drop"))

        def press(act) -> str:
            try:
                act()
            except appealing.NotAppealed as refusal:
                return str(refusal)
            finally:
                connection.close()
            return ""

        staff = [cast.max, cast.dora, cast.tess, cast.olga]
        with ThreadPoolExecutor(4) as pool:
            said = list(pool.map(press, [lambda one=one: take(appeal, one) for one in staff]))
        assert sorted(said) == ["", *["Somebody else looks at this already."] * 3]
        owner = Appeal.objects.get().owner
        with ThreadPoolExecutor(2) as pool:
            said = list(pool.map(press, [lambda: answer(appeal, owner, answer=Fraction(1))] * 2))
        assert sorted(said) == ["", "This appeal is answered already."]
        assert Remark.objects.count() == 1
