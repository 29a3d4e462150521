"""A visit that was declined is offered to another trainer: the same visit, with who could not come kept beside it."""

from datetime import date, timedelta

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from certs.schemes.models import Authority, TrainingAct
from certs.schemes.rules import Act
from certs.visits import operations
from certs.visits.models import Visit, VisitRefusal
from tests.cast import AT, ON, START, Cast
from tests.certs.visits.conftest import DAY
from tests.mailbox import Box
from training.ledger.models import Entry

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("today")]
REASON = "On leave; the 7th would do."


@pytest.fixture
def declined(cast: Cast, visit: Visit) -> Visit:
    """The visit, declined by Olga; Tess may assess as well."""
    Authority.objects.create(
        person=cast.tess, scheme=visit.scheme, act=Act.ASSESSES, from_on=START, granted_by=cast.max, granted_at=AT
    )
    cast.client("olga").post(f"/visits/{visit.pk}/decline/", {"reason": REASON})
    return visit


def offer(cast: Cast, visit: Visit, trainer: int | str, by: str = "sol") -> str:
    """Offer it, and return the page that answers, as one line."""
    sent = cast.client(by).post(f"/visits/{visit.pk}/offer/", {"trainer": trainer}, follow=True)
    return " ".join(sent.content.decode().split())


def test_is_the_same_visit(cast: Cast, declined: Visit) -> None:
    """Day, place and people stay; the refusal is read beside it; the other trainer answers, and the first no more."""
    before = cast.client("sol").get(f"/visits/{declined.pk}/").content.decode()
    assert "Offer it to another trainer" in before
    assert "Tess Trainer, Certification body</option>" in before
    assert "Olga Assessor, Certification body</option>" not in before
    assert "Offer it" not in cast.client("olga").get(f"/visits/{declined.pk}/").content.decode()
    page = offer(cast, declined, cast.tess.pk)
    assert "Asked, no answer yet" in page
    assert f"<strong>Olga Assessor</strong>, 25 Nov 2026: {REASON}" in page
    found = Visit.objects.get()
    assert (found.trainer, found.on, found.place, found.accepted) == (cast.tess, DAY, "North yard", None)
    assert [step.person for step in found.steps.all()] == [cast.ada]
    assert cast.client("olga").post(f"/visits/{declined.pk}/accept/").status_code == 404
    cast.client("tess").post(f"/visits/{declined.pk}/accept/")
    assert Visit.objects.get().accepted is True
    assert [entry.about["trainer"] for entry in Entry.objects.filter(act__startswith="visit ").order_by("seq")] == [
        cast.olga.pk, cast.tess.pk,
    ]  # fmt: skip


def test_is_mailed(cast: Cast, box: Box, declined: Visit) -> None:
    """The other trainer is asked, and the answer goes to who offered it; a mail that does not leave is told."""
    offer(cast, declined, cast.tess.pk, by="max")
    assert box.subjects(cast.tess) == ["You are asked to come"]
    assert "Max Administrator asks you to come" in " ".join(box.to(cast.tess)[-1].split())
    cast.client("tess").post(f"/visits/{declined.pk}/accept/")
    assert box.subjects(cast.max) == ["A trainer comes"]
    assert box.subjects(cast.ada) == ["A trainer comes"]


def test_unreached_trainer_is_told(cast: Cast, box: Box, declined: Visit) -> None:
    """The visit is offered all the same."""
    box.refuses.add(cast.tess.email)
    assert "No mail has reached Tess Trainer yet. Tell them yourself." in offer(cast, declined, cast.tess.pk)
    assert Visit.objects.get().trainer == cast.tess


def test_goes_on_while_there_are_trainers(cast: Cast, declined: Visit) -> None:
    """Declined again, both refusals stand; nobody is asked twice, and with nobody left another day is to be asked."""
    offer(cast, declined, cast.tess.pk)
    cast.client("tess").post(f"/visits/{declined.pk}/decline/", {"reason": "Elsewhere that day."})
    page = cast.client("sol").get(f"/visits/{declined.pk}/").content.decode()
    assert "No other trainer may assess these people under this scheme on that day." in page
    assert "Declined</strong>: Elsewhere that day." in page
    assert "Ask again, for another day" in page
    assert "Choose one of the trainers in the list." in offer(cast, declined, cast.olga.pk)
    assert VisitRefusal.objects.count() == 1


@pytest.mark.parametrize(("trainer", "says"), [("", "Choose a trainer."), ("x", "Choose one of the trainers")])
def test_says_what_to_choose(cast: Cast, declined: Visit, trainer: str, says: str) -> None:
    """Beside the field, with the visit as it was."""
    page = offer(cast, declined, trainer)
    assert says in page
    assert "<title>Error:" in page
    assert Visit.objects.get().trainer == cast.olga


def test_one_who_trained_of_late_may_not(cast: Cast, declined: Visit) -> None:
    """As with a visit asked for anew (24 months between training and assessing)."""
    TrainingAct.objects.create(
        scheme=declined.scheme, trainer=cast.tess, candidate=cast.ada, ended_on=date(2025, 1, 1), recorded_at=AT
    )
    page = offer(cast, declined, cast.tess.pk)
    assert "No other trainer may assess these people" in page
    assert Visit.objects.get().accepted is False
    with pytest.raises(operations.VisitRefused, match="within 24 months"):
        operations.offer(visit=declined, trainer=cast.tess, by=cast.sol, at=AT, on=ON)
    TrainingAct.objects.update(ended_on=DAY - timedelta(days=740))
    assert "Asked, no answer yet" in offer(cast, declined, cast.tess.pk)


def test_not_beside_another_visit(cast: Cast, declined: Visit, typed: dict[str, object]) -> None:
    """Who was asked for anew meanwhile has a visit already."""
    cast.client("sol").post("/visits/ask/", typed)
    assert "there is a visit already for Ada Crew." in offer(cast, declined, cast.tess.pk)
    assert not VisitRefusal.objects.exists()


def test_only_a_declined_one(cast: Cast, declined: Visit) -> None:
    """Not one that waits for an answer, and not one of a day gone by."""
    offer(cast, declined, cast.tess.pk)
    Authority.objects.create(
        person=cast.dora, scheme=declined.scheme, act=Act.ASSESSES, from_on=START, granted_by=cast.max, granted_at=AT
    )
    assert "Only a visit that was declined" in offer(cast, declined, cast.dora.pk)
    Visit.objects.update(accepted=False, answered_at=AT, reason="no", on=ON - timedelta(days=1))
    page = offer(cast, declined, cast.dora.pk)
    assert "That day is over." in page
    assert "Offer it to another trainer" not in page


def test_is_nobody_elses(cast: Cast, declined: Visit) -> None:
    """Neither trainers nor crew offer it, nor another employer's supervisor."""
    for name, status in (("olga", 403), ("ada", 403), ("rex", 404)):
        sent = cast.client(name).post(f"/visits/{declined.pk}/offer/", {"trainer": cast.tess.pk})
        assert sent.status_code == status


def test_refusal_is_whole(cast: Cast, declined: Visit) -> None:
    """The database takes none without a reason, and none twice."""
    kept = {"visit": declined, "trainer": cast.olga, "answered_at": timezone.now()}
    with pytest.raises(IntegrityError), transaction.atomic():
        VisitRefusal.objects.create(**kept, reason="")
    VisitRefusal.objects.create(**kept, reason="no")
    with pytest.raises(IntegrityError), transaction.atomic():
        VisitRefusal.objects.create(**kept, reason="no")
