"""A wrong key put right: proposed by one person, applied by another, every paper marked again and the old mark kept."""

from concurrent.futures import ThreadPoolExecutor
from fractions import Fraction

import pytest
from django.db import connection

from tests.cast import AT, assemble
from tests.training.quizzes.pool import paper, place, question, questions, right
from tests.training.reviews.conftest import FOREMAN, IN_CHARGE
from training.bank.models import Correction, QuestionVersion
from training.bank.operations import load_questions
from training.bank.queries import drawn, newest
from training.ledger.models import Entry
from training.ledger.queries import fault
from training.questions.correcting import Change, What
from training.quizzes import operations, queries
from training.quizzes.models import Paper, PartMark, Remark, RemarkedPart, Sitting
from training.reviews.operations import correcting
from training.reviews.queries import corrections

REASON = "The rule book names the foreman."
FOREMAN_TOO = Change(what=What.RIGHT, part="answer", lines=(FOREMAN,))
DROP = Change(what=What.DROP)


def propose(version, change, by):
    return correcting.propose(version=version, change=change, reason=REASON, by=by, at=AT)


def apply(correction, by):
    digest = corrections.digest_of(corrections.papers(correction))
    return correcting.apply(correction=correction, digest=digest, by=by, at=AT)


def stored(sitting: Sitting) -> tuple:
    """Return everything of a sitting and its marks as it lies in the database."""
    marks = PartMark.objects.filter(item__sitting=sitting).order_by("pk")
    return Sitting.objects.filter(pk=sitting.pk).values().get(), list(marks.values())


class TestPropose:
    def test_changes_nothing_yet(self, site, sit, version):
        """Both papers are on the list with both marks, and count as before."""
        right_then, wrong_then = sit(site.ada), sit(site.ben, one=FOREMAN)
        held = propose(version("one"), FOREMAN_TOO, site.tess)
        page = corrections.page(held, person=site.max)
        assert sorted((row.name, row.was, row.now, row.turns) for row in page.rows) == [
            ("Ada Crew", "5", "4", True),
            ("Ben Crew", "4", "5", True),
        ]
        assert sorted(row.now_passed for row in page.turned) == [False, True]
        assert page.may_decide
        assert not corrections.page(held, person=site.tess).may_decide
        assert not Remark.objects.exists()
        assert queries.counted(right_then).passed
        assert not queries.counted(wrong_then).passed

    @pytest.mark.parametrize(
        ("change", "says"),
        [
            (Change(what=What.RIGHT, part="answer", lines=(IN_CHARGE,)), "says already"),
            (Change(what=What.RIGHT, part="answer"), "tick at least one"),
            (Change(what=What.RIGHT, part="answer", lines=(IN_CHARGE, FOREMAN, "Nobody")), "take the question out"),
        ],
    )
    def test_is_refused_with_what_to_do(self, site, version, change, says):
        """Nothing is kept of it."""
        with pytest.raises(correcting.NotCorrected, match=says):
            propose(version("one"), change, site.tess)
        assert not Correction.objects.exists()

    def test_waits_for_the_one_before(self, site, version):
        """One correction of a question at a time."""
        propose(version("one"), DROP, site.tess)
        with pytest.raises(correcting.NotCorrected, match="waits already"):
            propose(version("one"), FOREMAN_TOO, site.olga)

    def test_refuses_a_line_that_no_paper_shows(self, site, sit, version):
        """Nothing is guessed about what stood on the paper."""
        sit(site.ada)
        with pytest.raises(correcting.NotCorrected, match="cannot be told apart"):
            propose(version("one"), Change(what=What.RIGHT, part="answer", lines=("Somebody",)), site.tess)

    def test_refuses_lines_that_no_new_paper_could_tell_apart(self, site):
        """Two lines of nothing but a drawn value look alike to who marks."""
        values = {name: {"choice": [low, low + 1], "unit": "V"} for name, low in (("a", 1), ("b", 3), ("c", 5))}
        lines = [{"text": "{a}", "right": True}, {"text": "{b}", "says": "s"}, {"text": "{c}", "says": "s"}]
        load_questions([question("one", 9, given=values, option=lines)], at=AT)
        version = QuestionVersion.objects.select_related("question").get(question__key="one-9")
        with pytest.raises(correcting.NotCorrected, match="cannot be told apart"):
            propose(version, Change(what=What.RIGHT, part="answer", lines=("{b}",)), site.tess)


class TestPractice:
    def test_is_marked_by_the_new_key(self, site, version):
        """Hold points, refreshers and practice draw the question with its key as it stands."""
        apply(propose(version("one"), FOREMAN_TOO, site.tess), site.max)
        part = drawn(version("one"), seed="s").parts[0]
        assert [text for name, text in part.options if name in part.right] == [FOREMAN]


class TestApply:
    def test_marks_every_paper_again_and_leaves_the_hand_in(self, site, sit, version):
        """Pass and fail change places; what was written at the hand-in is there byte for byte."""
        ada, ben = sit(site.ada), sit(site.ben, one=FOREMAN)
        before = [stored(one) for one in (ada, ben)]
        held = apply(propose(version("one"), FOREMAN_TOO, site.tess), site.max)
        assert (held.applied, held.decided_by) == (True, site.max)
        assert [stored(one) for one in (ada, ben)] == before
        rows = Remark.objects.order_by("was_passed")
        assert [(one.sitting_id, one.was_passed, one.passed, one.reason, one.by) for one in rows] == [
            (ben.pk, False, True, REASON, site.max),
            (ada.pk, True, False, REASON, site.max),
        ]
        assert queries.passed_sitting(site.ada, "bonding-theory") is None
        assert queries.passed_sitting(site.ben, "bonding-theory") == ben
        assert [one.pk for one in queries.passed_people("bonding-theory")] == [ben.pk]
        page = queries.result(ada, at=AT)
        assert (page.passed, page.score, page.outcome.unsafe) == (False, "4", (place(ada, "one"),))
        assert page.questions[0].parts[0].right == (FOREMAN,)
        assert page.remarks[0].was == "5"

    def test_is_in_the_ledger_with_both_names(self, site, sit, version):
        """Three entries: proposed by one, marks and application by the other."""
        sit(site.ada)
        apply(propose(version("one"), DROP, site.tess), site.max)
        last = Entry.objects.order_by("-seq").values_list("act", "by")[:3]
        assert list(last) == [
            ("correction applied", site.max.pk),
            ("papers marked again", site.max.pk),
            ("correction proposed", site.tess.pk),
        ]
        assert fault() == ""

    def test_needs_a_second_person(self, site, sit, version):
        """Who proposed it cannot apply it, nor can whose paper it is."""
        sit(site.ada)
        held = propose(version("one"), DROP, site.tess)
        with pytest.raises(correcting.NotCorrected, match="their own correction"):
            apply(held, site.tess)
        with pytest.raises(correcting.NotCorrected, match="Your own paper"):
            apply(held, site.ada)
        assert not Remark.objects.exists()

    def test_applies_the_list_that_was_looked_at(self, site, sit, version):
        """A paper handed in since is looked at first."""
        held = propose(version("one"), DROP, site.tess)
        digest = corrections.page(held, person=site.max).digest
        sit(site.ada, one=FOREMAN)
        with pytest.raises(correcting.Outdated):
            correcting.apply(correction=held, digest=digest, by=site.max, at=AT)
        apply(held, site.max)
        assert Remark.objects.get().passed

    def test_marks_an_open_paper_by_the_new_key_at_its_hand_in(self, site, sit, version):
        """Nobody is marked by a key that is known to be wrong."""
        sitting = sit(site.ben, hand=False, one=FOREMAN)
        held = propose(version("one"), FOREMAN_TOO, site.tess)
        assert corrections.page(held, person=site.max).open_papers == 1
        apply(held, site.max)
        operations.hand_in(sitting=sitting, answers={}, at=AT)
        sitting.refresh_from_db()
        assert sitting.passed
        assert not Remark.objects.exists()

    def test_takes_a_dropped_question_out_of_papers_and_practice(self, site, sit, version):
        """Everyone has its mark, nobody is asked it again, and it cannot be corrected twice."""
        ben = sit(site.ben, one=FOREMAN)
        apply(propose(version("one"), DROP, site.tess), site.max)
        assert RemarkedPart.objects.get().flags == ["dropped"]
        assert queries.result(ben, at=AT).questions[0].dropped
        assert newest(["one-1"]) == {}
        assert "one-1" not in queries.papers_pool()
        with pytest.raises(correcting.NotCorrected, match="taken out"):
            propose(version("one"), FOREMAN_TOO, site.olga)

    def test_follows_one_correction_with_the_next(self, site, sit, version):
        """The last mark counts; every one before is kept."""
        ada = sit(site.ada)
        apply(propose(version("one"), FOREMAN_TOO, site.tess), site.max)
        both = Change(what=What.RIGHT, part="answer", lines=(IN_CHARGE, FOREMAN))
        apply(propose(version("one"), both, site.tess), site.max)
        assert list(ada.remarks.order_by("number").values_list("was_passed", "passed")) == [
            (True, False),
            (False, True),
        ]
        assert queries.counted(ada) == queries.Counting(Fraction(5), passed=True)

    def test_widens_an_answer_and_turns_an_order(self, site, sit, version):
        """A number and an order are put right as a choice is."""
        ada = sit(site.ada, drop="0.1 V")
        part = corrections.offers(version("drop"))[0]
        wide = Change(what=What.TOLERANCE, part=part.name, absolute=Fraction(100), relative=part.relative)
        apply(propose(version("drop"), wide, site.tess), site.max)
        assert queries.counted(ada).earned == 5
        turned = Change(what=What.ORDER, part="answer", lines=("Set the earth", "Grind", "Fire"))
        apply(propose(version("order"), turned, site.tess), site.max)
        assert queries.counted(ada).earned == 4
        assert corrections.offers(version("order"))[0].right == turned.lines
        assert corrections.offers(version("drop"))[0].absolute == 100


class TestRefuse:
    def test_leaves_the_key_and_says_why(self, site, sit, version):
        """A refused correction marks nothing and makes room for the next."""
        sit(site.ada)
        held = propose(version("one"), DROP, site.tess)
        correcting.refuse(correction=held, reason="The key is right.", by=site.max, at=AT)
        for act in (
            lambda: apply(held, site.olga),
            lambda: correcting.refuse(correction=held, reason="No", by=site.max, at=AT),
        ):
            with pytest.raises(correcting.NotCorrected, match="decided already"):
                act()
        assert not Remark.objects.exists()
        propose(version("one"), DROP, site.tess)


@pytest.mark.both
@pytest.mark.django_db(transaction=True)
class TestTwins:
    def test_apply_one_correction_once(self):
        """Two people press at once: one set of new marks, one name under it, the other is told."""
        cast = assemble()
        load_questions(questions(1), at=AT)
        operations.load_papers([paper()], at=AT)
        sitting = operations.open_sitting(person=cast.ada, paper=Paper.objects.get(), seed="s", at=AT)
        operations.hand_in(sitting=sitting, answers=right(sitting), at=AT)
        version = QuestionVersion.objects.select_related("question").get(question__key="one-1")
        held = propose(version, FOREMAN_TOO, cast.tess)
        digest = corrections.digest_of(corrections.papers(held))

        def press(who: str) -> str:
            try:
                correcting.apply(correction=held, digest=digest, by=getattr(cast, who), at=AT)
            except correcting.NotCorrected as refusal:
                return str(refusal)
            finally:
                connection.close()
            return ""

        with ThreadPoolExecutor(4) as pool:
            said = list(pool.map(press, ["max", "dora", "olga", "max"]))
        assert Remark.objects.count() == 1
        assert Entry.objects.filter(act="correction applied").count() == 1
        assert "" in said
        assert {one for one in said if one} <= {"This correction is decided already."}

    def test_miss_no_paper_that_is_handed_in_at_the_same_moment(self):
        """Whichever comes first, the paper counts by the new key: marked by it, or marked again."""
        cast = assemble()
        load_questions(questions(1), at=AT)
        operations.load_papers([paper()], at=AT)
        theory = Paper.objects.get()
        version = QuestionVersion.objects.select_related("question").get(question__key="one-1")
        held = propose(version, DROP, cast.tess)
        sittings = [
            operations.open_sitting(person=person, paper=theory, seed=person.username, at=AT)
            for person in (cast.ada, cast.ben, cast.quin)
        ]
        answers = {one.pk: right(one) | {place(one, "one"): {}} for one in sittings}

        def press(act) -> None:
            try:
                act()
            finally:
                connection.close()

        def put_right() -> None:
            while True:
                try:
                    apply(Correction.objects.select_related("question_version").get(pk=held.pk), cast.max)
                except correcting.Outdated:
                    continue
                return

        acts = [lambda one=one: operations.hand_in(sitting=one, answers=answers[one.pk], at=AT) for one in sittings]
        with ThreadPoolExecutor(4) as pool:
            list(pool.map(press, [acts[0], put_right, *acts[1:]]))
        assert all(queries.counted(Sitting.objects.get(pk=one.pk)).passed for one in sittings)
