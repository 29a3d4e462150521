"""The report on a question over HTTP, and what the paper's report says of time and topics."""

import pytest
import time_machine
from django.urls import reverse

from tests.cast import AT, Cast, person
from tests.training.analysis.conftest import bad_key, spread
from tests.training.reply import page
from training.analysis import queries
from training.bank.models import Correction, QuestionVersion
from training.people.rules import Role
from training.quizzes.models import Accommodation, PaperIssue, PartMark, Remark, RemarkedPart, Sitting

RIGHT, WRONG = (1, "", "5 V"), (0, "circuit.voltage_drop.upside_down", "0.2 V")
BAD = "Is the key right? Good candidates choose “Paint” more often than the key, “Grind”."


@pytest.fixture(autouse=True)
def now():
    """Stop the clock at AT."""
    with time_machine.travel(AT, tick=False):
        yield


def get(cast: Cast, key: str, query: str = "", *, name: str = "tess") -> str:
    """A question's report as a person sees it."""
    url = reverse("analysis:question", args=["theory", key]) + query
    return page(cast.client(name).get(url)).replace("\u00a0", " ").replace("\u202f", " ")


def correct(key: str, change: dict[str, object], cast: Cast) -> Correction:
    """Apply a correction to the first version of a question."""
    whole = {"what": "right", "part": "answer", "lines": [], "absolute": "0", "relative": "0"} | change
    return Correction.objects.create(
        question_version=QuestionVersion.objects.get(question__key=key, version=1), change=whole, reason="Read anew.",
        proposed_by=cast.tess, proposed_at=AT, decided_by=cast.olga, decided_at=AT, applied=True,
    )  # fmt: skip


class TestAPlantedBadKey:
    def test_is_asked_about_on_both_reports(self, cast: Cast, hand_in) -> None:
        """From 120 uses, in a sentence that names the option and the key."""
        hand_in(bad_key())
        body = get(cast, "q1")
        assert BAD in body and "From 120 uses" in body
        paper = page(cast.client("tess").get(reverse("analysis:paper", args=["theory"])))
        assert BAD in paper and reverse("analysis:question", args=["theory", "q1"]) in paper

    def test_is_not_asked_about_from_fewer(self, cast: Cast, hand_in) -> None:
        """99 uses may say that good candidates do worse, not which option to look at."""
        hand_in(bad_key(99))
        body = get(cast, "q1")
        assert BAD not in body and "This is provisional, from 99 uses." in body

    def test_shows_in_the_curves_and_their_table(self, cast: Cast, hand_in) -> None:
        """A picture an option, named and described, without style; the key falls, Paint rises."""
        hand_in(bad_key())
        body = get(cast, "q1")
        assert body.count('<svg class="curve') == 3 and body.count("<desc") == 3 and " style=" not in body
        paint = next(one for one in queries.report(*found("q1")).curves if one.option == "Paint")
        key = next(one for one in queries.report(*found("q1")).curves if one.right)
        assert paint.points[0][1] > paint.points[-1][1] and key.points[0][1] < key.points[-1][1]

    def test_is_quiet_once_the_key_is_put_right(self, cast: Cast, hand_in) -> None:
        """The figures follow the marks and the key that count now."""
        hand_in(bad_key())
        correction = correct("q1", {"lines": ["Paint"]}, cast)
        for mark in PartMark.objects.filter(item__question_version__question__key="q1").select_related("item__sitting"):
            sitting, share = mark.item.sitting, 1 - mark.share_numerator
            earned = sitting.earned_numerator - mark.share_numerator + share
            remark = Remark.objects.create(
                sitting=sitting, number=1, correction=correction, was_numerator=sitting.earned_numerator,
                was_denominator=1, was_passed=sitting.passed, earned_numerator=earned, earned_denominator=1,
                passed=earned >= 4, reason="Read anew.", by=cast.olga, at=AT,
            )  # fmt: skip
            RemarkedPart.objects.create(remark=remark, mark=mark, share_numerator=share, share_denominator=1)
        body = get(cast, "q1")
        assert BAD not in body and "put right after it was used" in body and "Paint (key)" in " ".join(body.split())

    def test_can_be_corrected_from_here(self, cast: Cast, hand_in) -> None:
        """By those who may; the way leads to this version."""
        cast.tom = person("tom", "Tom", cast.northmoor, Role.TRAINER)
        hand_in(bad_key())
        way = reverse("reviews:correct", args=["q1", 1])
        assert way in get(cast, "q1") and way not in get(cast, "q1", name="tom")

    def test_of_a_question_taken_out_asks_nothing(self, cast: Cast, hand_in) -> None:
        """Everyone has its mark."""
        hand_in(bad_key())
        correct("q1", {"what": "drop"}, cast)
        body = get(cast, "q1")
        assert "This version was taken out" in body and BAD not in body and "Nothing stands out." in body


def found(key: str) -> tuple[PaperIssue, QuestionVersion]:
    """The issue and the newest version of a question."""
    issue = PaperIssue.objects.select_related("paper").latest("version")
    return issue, QuestionVersion.objects.select_related("question").filter(question__key=key).latest("version")


class TestFigures:
    def test_of_few_uses_are_counts_with_limits(self, cast: Cast, hand_in) -> None:
        """Seven of ten lies between .40 and .89 (Wilson); nothing is asked."""
        hand_in([{"q0": RIGHT, "q1": (1, "", "Grind")}] * 7 + [{"q0": WRONG, "q1": (0, "", "Paint")}] * 3)
        body = get(cast, "q0")
        assert "70 % (40 to 89 %)" in body and "7 of 10" in body and body.count("not said yet") == 2
        assert "Until 30 uses there are counts alone" in body
        assert "(3, 30 %)" in body

    def test_of_many_uses_say_how_it_goes_with_the_rest(self, cast: Cast, hand_in) -> None:
        """With Fisher's limits."""
        hand_in(spread(150))
        body = get(cast, "q2")
        assert "not said yet" not in body and "(key)" not in body

    def test_of_a_safety_question_never_call_it_too_easy(self, cast: Cast, hand_in) -> None:
        """Everyone right 150 times: q3 must be right, so nothing stands out."""
        papers = spread(150)
        for paper in papers:
            paper["q3"], paper["q2"] = (1, "", "Grind"), (1, "", "")
        hand_in(papers)
        assert "Nearly everyone gets this right" not in get(cast, "q3")
        assert "Nearly everyone gets this right" in get(cast, "q2")

    def test_before_the_first_use_say_so(self, cast: Cast, theory: PaperIssue) -> None:
        """And show since when it is there."""
        body = get(cast, "q0")
        assert "has not been used on this paper yet" in body and "25 Nov 2026" in body and "never" in body

    def test_between_30_and_100_uses_most_is_not_said(self, cast: Cast, hand_in) -> None:
        """A fair question is left alone."""
        hand_in(spread(60))
        assert "Until 100 uses most cannot be said" in get(cast, "q2")


class TestMistakes:
    def test_mistakes_are_in_words(self, cast: Cast, hand_in) -> None:
        """The catalogue's own sentence, not its key; a key it no longer knows stands as it is."""
        hand_in([{"q0": WRONG, "q1": (1, "", "Grind")}, {"q0": (0, "gone.key", ""), "q1": (1, "", "Grind")}])
        body = get(cast, "q0")
        assert "circuit.voltage_drop.upside_down" not in body
        assert "gone.key" in body and "A shot of … runs." in body

    def test_options_that_differ_by_paper_are_left_alone(self, cast: Cast, hand_in) -> None:
        """A text with a gap reads differently on each paper, so its options are not counted."""
        version = QuestionVersion.objects.get(question__key="q3")
        version.body["option"][1]["text"] = "Paint {current}"
        version.save()
        hand_in([{"q3": (0, "", "Paint {current}"), "q1": RIGHT}])
        assert "Paint is taken to conduct." not in get(cast, "q3")


class TestParts:
    def test_say_which_one_goes_wrong(self, cast: Cast, hand_in) -> None:
        """A question of two parts: everyone has the first, three of four miss the second."""
        version = QuestionVersion.objects.get(question__key="q2")
        version.body["part"] = [{"name": "answer", "prompt": "The loop?"}, {"name": "drop", "prompt": "At {current}?"}]
        version.save()
        hand_in([{"q2": RIGHT, "q1": (1, "", "Grind")}] * 4)
        for place, mark in enumerate(PartMark.objects.filter(item__question_version=version)):
            PartMark.objects.create(item=mark.item, part="drop", share_numerator=int(place == 0), share_denominator=1)
        parts = queries.report(*found("q2")).parts
        assert [(one.prompt, one.share.replace("\u00a0", " ")) for one in parts] == [
            ("The loop?", "100 %"), ("At …?", "25 %"),
        ]  # fmt: skip
        assert "Part by part" in get(cast, "q2") and "Part by part" not in get(cast, "q1")


class TestCorners:
    def test_ask_what_is_harder_where_answers_go_wrong(self, cast: Cast, hand_in) -> None:
        """At 250 A ten of 40 are right, at 200 A all of 40."""
        papers = [{"q0": RIGHT if n % 2 or n % 8 == 0 else WRONG, "q2": RIGHT} for n in range(80)]
        hand_in(papers, currents=["200" if n % 2 else "250" for n in range(80)])
        body = get(cast, "q0")
        assert "With 250 A only 25 % is earned (40 uses). What is harder there?" in body
        assert "100 % (91 to 100 %)" in body

    def test_are_left_out_where_nothing_was_drawn(self, cast: Cast, hand_in) -> None:
        """No table of one row, and none for a question without numbers."""
        hand_in([{"q0": RIGHT, "q1": (1, "", "Grind")}] * 3, currents=["200"] * 3)
        hand_in([{"q0": RIGHT, "q1": (1, "", "Grind")}])
        assert "Where it goes wrong" not in get(cast, "q0") and "Where it goes wrong" not in get(cast, "q1")


class TestHistory:
    def test_keeps_versions_apart(self, cast: Cast, hand_in) -> None:
        """The newest is shown; an older one by its number."""
        hand_in([{"q0": WRONG, "q2": RIGHT}] * 5)
        old = QuestionVersion.objects.get(question__key="q0")
        QuestionVersion.objects.create(
            question=old.question, version=2, kind=old.kind, topic="setup", level="apply", body=old.body, digest="-",
            loaded_at=AT,
        )  # fmt: skip
        newest, older = get(cast, "q0"), get(cast, "q0", "?version=1")
        assert "has not been used on this paper yet" in newest and "0 % (0 to 43 %)" in newest
        assert "Nobody has got this right so far" in older and "has not been used" not in older

    @pytest.mark.parametrize(("key", "query"), [("q0", "?version=9"), ("q0", "?version=x"), ("other", "")])
    def test_without_such_a_version_there_is_no_page(
        self, cast: Cast, theory: PaperIssue, key: str, query: str
    ) -> None:
        """404."""
        assert cast.client("tess").get(reverse("analysis:question", args=["theory", key]) + query).status_code == 404

    def test_counts_uses_on_other_papers(self, cast: Cast, theory: PaperIssue, hand_in) -> None:
        """They are counted beside, not mixed in: another paper has another rest."""
        hand_in([{"q0": RIGHT, "q2": RIGHT}] * 3)
        other = theory.paper._meta.model.objects.create(slug="other")
        issue = PaperIssue.objects.create(
            paper=other, version=1, title="Other", body=theory.body, digest="-", loaded_at=AT
        )
        hand_in([{"q0": WRONG, "q2": RIGHT}] * 2, issue=issue)
        row = queries.report(*found_on("theory", "q0")).history[0]
        assert (row.uses, row.elsewhere) == (3, 2)


def found_on(slug: str, key: str) -> tuple[PaperIssue, QuestionVersion]:
    """An issue of a paper and the newest version of a question."""
    return PaperIssue.objects.select_related("paper").get(paper__slug=slug), found(key)[1]


class TestTimeAndTopics:
    def test_time_is_said_from_30_papers(self, cast: Cast, theory: PaperIssue, hand_in) -> None:
        """The n-th paper takes n minutes; those with time of their own do not count."""
        hand_in(spread(30))
        own = Accommodation.objects.create(
            person=cast.ada, paper=theory.paper, factor=2, reason="-", decided_by=cast.max, decided_at=AT
        )
        last = Sitting.objects.latest("handed_in_at")
        Sitting.objects.filter(pk=last.pk).update(accommodation=own)
        assert "Time, half" not in str(queries.page(theory).facts)
        Sitting.objects.filter(pk=last.pk).update(accommodation=None)
        shown = queries.page(theory)
        assert shown.facts[-2:] == (
            ("Time, half of the papers", "15 of 60 minutes or less"),
            ("Time, nine papers in ten", "27 of 60 minutes or less"),
        )
        assert any("provisional until 100 papers" in sentence for sentence in shown.says)

    def test_nearly_all_of_the_time_asks_whether_it_is_enough(self, cast: Cast, theory: PaperIssue, hand_in) -> None:
        """One in ten beyond 95 % of it."""
        hand_in(spread(100))
        body = page(cast.client("tess").get(reverse("analysis:paper", args=["theory"])))
        assert "Is the time enough?" in body and "provisional until 100 papers" not in body

    def test_topics_sat_again_are_no_paper(self, cast: Cast, theory: PaperIssue, hand_in) -> None:
        """Their questions count, their marks and time do not."""
        hand_in(spread(3))
        first, second = Sitting.objects.order_by("handed_in_at")[:2]
        Sitting.objects.filter(pk=second.pk).update(resumes=first)
        shown = queries.page(theory)
        assert shown.handed_in == 2 and sum(bar.count for bar in shown.bars) == 2
        assert {line.uses for line in shown.questions} == {3}
        assert [line.handed_in for line in queries.index()] == [2]


class TestFacilities:
    def test_say_no_share_from_too_few_uses(self, cast: Cast, theory: PaperIssue, hand_in) -> None:
        """Counts below 30; from there the share with its limits; nothing of what was never used."""
        hand_in([{"q0": RIGHT, "q1": (1, "", "Grind")}] * 29)
        pks = dict(QuestionVersion.objects.values_list("question__key", "pk"))
        assert queries.facilities(pks.values())[pks["q0"]].says == "too few uses to say: 29"
        hand_in([{"q0": WRONG, "q1": (1, "", "Grind")}] * 29)
        shown = queries.facilities(pks.values())
        assert shown[pks["q0"]].says.replace("\u00a0", " ") == "50 % right (38 to 62 %) of 58 uses"
        assert pks["q2"] not in shown
