"""What the home page says of papers marked again."""

from datetime import date, timedelta

from django.test import Client

from certs.cards.models import Card
from certs.cards.operations import measure
from certs.cards.rules import Step
from certs.records.queries.marked_again import resting
from certs.schemes.models import Authority
from certs.schemes.rules import Act
from tests.cast import AT, ON, START, Cast
from tests.certs.factory import card, passed_sitting
from tests.certs.records.conftest import Content
from training.bank.models import Correction, Question, QuestionVersion
from training.quizzes.models import Remark, Sitting
from training.reviews.models import Appeal

FIRST = date(2026, 8, 31)


def remark(sitting: Sitting, cast: Cast, *, number: int = 1, was: bool = True, passed: bool = False, at=AT) -> Remark:
    marks = {"was_numerator": 9, "was_denominator": 1, "earned_numerator": 7, "earned_denominator": 1}
    facts = {"was_passed": was, "passed": passed, "reason": "The key was wrong.", "by": cast.max, "at": at}
    return Remark.objects.create(sitting=sitting, number=number, **marks, **facts)


def text(client: Client) -> str:
    return " ".join(client.get("/").content.decode().split())


def failed(cast: Cast, content: Content) -> Card:
    """Ada's card, whose paper was marked again and is not passed."""
    held = card(cast, cast.ada, on=FIRST)
    remark(held.evidence.sitting, cast)
    return held


class TestCard:
    def test_goes_on_and_is_listed_for_those_who_decide(self, cast: Cast, content: Content) -> None:
        """Nothing ends by itself: the administrator finds it on the home page, the crew and trainers do not."""
        held = failed(cast, content)
        assert Card.objects.valid_on(ON).get() == held
        for name, seen in (("max", True), ("dora", True), ("tess", False), ("ada", False), ("sol", False)):
            assert ("A card rests on this" in text(cast.client(name))) is seen, name
        assert held.number in text(cast.client("max"))

    def test_is_listed_for_who_decides_under_its_scheme(self, cast: Cast, content: Content) -> None:
        """A trainer who holds 'may decide' finds it."""
        held = failed(cast, content)
        facts = {"from_on": START, "granted_by": cast.max, "granted_at": AT}
        Authority.objects.create(person=cast.tess, scheme=held.scheme, act=Act.DECIDES, **facts)
        assert held.number in text(cast.client("tess"))

    def test_leaves_the_list_when_it_is_decided(self, cast: Cast, content: Content) -> None:
        """By a measure taken since, by a new pass, or by a mark that makes it passed again."""
        held = failed(cast, content)
        assert list(resting(on=ON)) == [held]
        remark(held.evidence.sitting, cast, number=2, was=False, passed=True)
        assert list(resting(on=ON)) == []
        remark(held.evidence.sitting, cast, number=3)
        assert list(resting(on=ON)) == [held]
        passed_sitting(cast.ada, on=ON)
        assert list(resting(on=ON)) == []
        Sitting.objects.exclude(pk=held.evidence.sitting_id).delete()
        measure(card=held, step=Step.SUSPENDED, by=cast.max, reason="Paper failed.", on=ON, at=AT)
        assert list(resting(on=ON)) == []
        measure(card=held, step=Step.REINSTATED, by=cast.max, reason="Examined by word of mouth.", on=ON, at=AT)
        assert list(resting(on=ON)) == []


class TestHolder:
    def test_is_told_for_sixty_days(self, cast: Cast, content: Content) -> None:
        """The news links to the result; old news goes."""
        failed(cast, content)
        page = text(cast.client("ada"))
        assert "Papers marked again" in page
        assert "now not passed" in page
        assert "Papers marked again" not in text(cast.client("ben"))
        Remark.objects.update(at=AT - timedelta(days=61))
        assert "Papers marked again" not in text(cast.client("ada"))

    def test_sees_where_an_appeal_stands(self, cast: Cast, content: Content) -> None:
        """While it waits, and for sixty days after the answer."""
        sitting = passed_sitting(cast.ada, on=ON)
        facts = {"sitting": sitting, "candidate": cast.ada, "wish": "conduct", "reason": "r", "asked_at": AT}
        appeal = Appeal.objects.create(**facts)
        page = text(cast.client("ada"))
        assert "Marks I asked about" in page
        assert "<strong>asked</strong>" in page
        old = AT - timedelta(days=61)
        answered = {"owner": cast.max, "taken_at": old, "answered_at": old, "upheld": False, "answer": "No."}
        Appeal.objects.filter(pk=appeal.pk).update(**answered)
        assert "Marks I asked about" not in text(cast.client("ada"))

    def test_reads_the_mark_that_counts_on_the_record(self, cast: Cast, content: Content) -> None:
        """The record says what counts, and so does what comes next."""
        failed(cast, content)
        page = " ".join(cast.client("ada").get(f"/records/{cast.ada.pk}/").content.decode().split())
        papers = page[page.index(">Papers<") :]
        assert "<strong>not passed</strong>" in papers


class TestStaff:
    def test_sees_how_many_corrections_wait(self, cast: Cast, content: Content) -> None:
        """Whoever proposed one is not asked to apply it."""
        question = Question.objects.create(key="k")
        version = QuestionVersion.objects.create(
            question=question, version=1, kind="one", topic="t", level="know", body={}, digest="", loaded_at=AT
        )
        facts = {"change": {"what": "drop"}, "reason": "r", "proposed_by": cast.tess, "proposed_at": AT}
        Correction.objects.create(question_version=version, **facts)
        assert 'href="/reviews/#appeals">Appeals to look at' in text(cast.client("max"))
        assert "Appeals to look at" not in text(cast.client("tess"))
        assert "Appeals to look at" not in text(cast.client("sol"))
