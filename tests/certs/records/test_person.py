"""One person's record."""

import re
from collections.abc import Callable
from datetime import date, timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.urls import reverse

from certs.cards.models import Card
from certs.cards.operations import confirm, measure
from certs.cards.rules import Step
from certs.records.queries.record import record
from certs.schemes.models import Authority, TrainingAct
from certs.schemes.rules import Act
from certs.signoffs.models import AssessorException, Decision, DoAgain, ReceivedSheet, Signoff
from tests.cast import AT, ON, START, Cast
from tests.certs.factory import card, noon, signoff
from tests.certs.records.conftest import Content
from training.quizzes.models import Sitting

FIRST = date(2026, 8, 31)


def text(cast: Cast, who: str, whose: str = "ada") -> str:
    answer = cast.client(who).get(f"/records/{getattr(cast, whose).pk}/")
    assert answer.status_code == 200
    return " ".join(answer.content.decode().split())


def fill(cast: Cast, content: Content, *, cards: int = 1) -> Card:
    """Put something under every heading of Ada's record; more cards of other schemes when asked for."""
    content.read_by(cast.ada, on=ON)
    for number in range(1, cards):
        fill_card(cast, slug=f"scheme-{number}")
    made = fill_card(cast, slug="bonds")
    scheme = content.issue.scheme
    TrainingAct.objects.create(
        scheme=scheme, trainer=cast.tess, candidate=cast.ada, ended_on=date(2026, 8, 1), recorded_at=AT
    )
    AssessorException.objects.create(
        candidate=cast.ada, scheme=scheme, assessor=cast.tess, why="far away", safeguard="a film", asked_at=AT
    )
    signed = Signoff.objects.get(cards=made)
    Decision.objects.create(signoff=signed, by=cast.dora, at=noon(FIRST), granted=True, reasons="readings agree")
    return made


def fill_card(cast: Cast, **scheme: Any) -> Card:
    made = card(cast, cast.ada, on=FIRST, **scheme)
    confirm(card=made, by=cast.sol, shots=40, evidence="job 7", doubts=False, on=ON, at=AT)
    measure(card=made, step=Step.SUSPENDED, by=cast.max, reason="a film shows it", on=ON, at=AT + timedelta(minutes=1))
    measure(card=made, step=Step.REINSTATED, by=cast.dora, reason="cleared", on=ON, at=AT + timedelta(minutes=2))
    return made


class TestAccess:
    @pytest.mark.parametrize(
        ("who", "status"),
        [
            ("nobody", 302),
            ("ada", 200),
            ("ben", 404),
            ("quin", 404),
            ("rex", 404),
            ("sol", 200),
            ("tess", 200),
            ("max", 200),
        ],
    )
    def test_is_for_oneself_the_own_supervisor_and_the_body(
        self, cast: Cast, content: Content, who: str, status: int
    ) -> None:
        """A stranger learns not even that there is such a person."""
        assert cast.client(who).get(f"/records/{cast.ada.pk}/").status_code == status

    def test_of_nobody_is_not_found(self, cast: Cast) -> None:
        """A number without a person."""
        assert cast.client("max").get("/records/999999/").status_code == 404

    def test_takes_no_post(self, cast: Cast) -> None:
        """Records are written where the acts are."""
        assert cast.client("ada").post(f"/records/{cast.ada.pk}/").status_code == 405


class TestPage:
    def test_tells_everything(self, cast: Cast, content: Content) -> None:
        """Employer, roles, crew, card, history, paper, reading, practical, decision, exception, training."""
        made = fill(cast, content)
        page = text(cast, "ada")
        for said in (
            "Northmoor Track",
            "crew member",
            "Gang 1",
            made.number,
            "Good to the end of 30 Aug 2029.",
            "work confirmed, 40 bonds",
            "job 7",
            "a film shows it",
            "cleared",
            "Setting up</a> (revision 1)",
            "Olga Assessor",
            "granted by Dora Decider, 31 Aug 2026: readings agree",
            "a film",
            "waiting for a third person",
            "by Tess Trainer",
            "ended 1 Aug 2026",
            "Nothing to do. Renewal opens on 28 Feb 2029.",
        ):
            assert said in page, said

    def test_tells_how_an_exception_was_answered(self, cast: Cast, content: Content) -> None:
        """By whom, when, and a refusal with its reason; to the candidate and to their supervisor."""
        fill(cast, content)
        asked = AssessorException.objects.all()
        asked.update(refused_by=cast.max, refused_at=AT, refusal="Olga can come.")
        for who in ("ada", "sol"):
            assert "refused by Max Administrator on 25 Nov 2026: Olga can come." in text(cast, who)
        asked.update(refused_by=None, refused_at=None, refusal="", approved_by=cast.max, approved_at=AT)
        assert "approved by Max Administrator on 25 Nov 2026" in text(cast, "ada")

    def test_tells_the_history_in_order(self, cast: Cast, content: Content) -> None:
        """What happened on one day stands in the order of entry."""
        made = fill_card(cast)
        (shown,) = [one for one in self.record(cast).cards if one.face.number == made.number]
        assert [one.act for one in shown.history] == [
            "issued on a practical",
            "work confirmed, 40 bonds",
            "suspended",
            "reinstated",
        ]
        assert [one.by for one in shown.history] == [
            "Olga Assessor",
            "Sol Supervisor",
            "Max Administrator",
            "Dora Decider",
        ]

    def test_names_a_doubt_as_such(self, cast: Cast, content: Content) -> None:
        """A doubt is not a confirmation."""
        made = card(cast, cast.ada, on=FIRST)
        confirm(card=made, by=cast.sol, shots=2, evidence="cold joints", doubts=True, on=ON, at=AT)
        page = text(cast, "ada")
        assert "doubt entered, 2 bonds" in page
        assert "Suspended since 25 Nov 2026." in page

    def test_of_a_new_person_says_what_is_not_there(self, cast: Cast) -> None:
        """Every heading has a sentence."""
        page = text(cast, "ben", "ben")
        for said in (
            "No card has been issued",
            "No practical has been signed",
            "No paper",
            "No procedure",
            "In no crew",
        ):
            assert said in page

    def test_of_a_trainer_lists_permissions(self, cast: Cast, content: Content) -> None:
        """Under which scheme, and since when; a trainer has no next step."""
        Authority.objects.create(
            person=cast.olga,
            scheme=content.issue.scheme,
            act=Act.ASSESSES,
            from_on=START,
            granted_by=cast.max,
            granted_at=AT,
        )
        page = text(cast, "olga", "olga")
        assert "may assess: Bonds by pin brazing" in page
        assert "What comes next" not in page

    def test_marks_a_corrected_practical(self, cast: Cast, content: Content) -> None:
        """The record that was replaced stays, and says so; a refused decision is told with its reasons."""
        old = signoff(cast.ada, content.issue, assessor=cast.olga, on=FIRST)
        new = signoff(cast.ada, content.issue, assessor=cast.olga, on=FIRST, replaces=old)
        Decision.objects.create(signoff=new, by=cast.dora, at=AT, granted=False, reasons="too few bonds")
        page = text(cast, "ada")
        assert "corrected by a later record" in page
        assert "refused by Dora Decider, 25 Nov 2026: too few bonds" in page

    def test_lists_sheets_that_were_sent_back(self, cast: Cast, content: Content) -> None:
        """The candidate reads why, and opens the sheet."""
        card(cast, cast.ada, on=FIRST)
        issue = Card.objects.get().scheme_issue
        people = {"candidate": cast.ada, "assessor": cast.olga, "made_by": cast.olga}
        facts = {"assessed_on": ON, "body": {}, "reading": {}, "digest": "0" * 64, "phone_time": AT, "received_at": AT}
        sheet = ReceivedSheet.objects.create(id=uuid4(), scheme_issue=issue, **people, **facts)
        DoAgain.objects.create(sheet=sheet, by=cast.olga, at=AT, reason="Readings do not fit the photo")
        page = text(cast, "ada")
        assert "Readings do not fit the photo" in page
        assert f"/signoffs/sheets/{sheet.pk}/" in page

    def record(self, cast: Cast) -> Any:
        return record(
            cast.ada, may_confirm=lambda _: False, may_measure=lambda _: False, sees_results=True, on=ON, at=AT
        )

    @pytest.mark.parametrize("size", [1, 6])
    def test_takes_a_fixed_number_of_queries(
        self, cast: Cast, content: Content, size: int, django_assert_max_num_queries: Callable[..., Any]
    ) -> None:
        """A long career costs no more than a short one: fifteen for the record, seven more for the next steps."""
        fill(cast, content, cards=size)
        with django_assert_max_num_queries(24):
            assert len(self.record(cast).cards) == size

    def test_lists_what_changed_procedures_ask(self, cast: Cast, content: Content) -> None:
        """Under the card that they touch."""
        card(cast, cast.ada, on=FIRST)
        content.revise(demand="answer", overdue="stops")
        assert "Setting up, revision 2: read it, and answer by 30 Nov 2026" in text(cast, "sol")


class TestResults:
    def test_are_for_the_candidate_and_the_body(self, cast: Cast, content: Content) -> None:
        """A supervisor reads that a paper was passed, not how; and nobody's score stands here."""
        card(cast, cast.ada, on=FIRST)
        link = f"/papers/sittings/{Sitting.objects.get().pk}/"
        assert link in text(cast, "ada")
        assert link in text(cast, "tess")
        page = text(cast, "sol")
        assert link not in page
        assert re.search(r"Theory</span> <strong>passed</strong>", page)


class TestButtons:
    @pytest.mark.parametrize(
        ("who", "confirms", "measures"),
        [("ada", False, False), ("sol", True, False), ("tess", False, False), ("max", False, True)],
    )
    def test_are_shown_to_who_may(self, cast: Cast, content: Content, who: str, confirms: bool, measures: bool) -> None:
        """The supervisor of the employer confirms work, an administrator of the body takes measures."""
        made = card(cast, cast.ada, on=FIRST)
        page = text(cast, who)
        assert (reverse("worklog:confirm", args=[made.number]) in page) is confirms
        assert (f"/cards/{made.number}/measure/" in page) is measures

    def test_are_gone_from_a_withdrawn_card(self, cast: Cast, content: Content) -> None:
        """What is withdrawn stays so."""
        made = card(cast, cast.ada, on=FIRST)
        measure(card=made, step=Step.WITHDRAWN, by=cast.max, reason="a reason", on=ON, at=AT)
        assert f"/cards/{made.number}/measure/" not in text(cast, "max")
        assert reverse("worklog:confirm", args=[made.number]) not in text(cast, "sol")
