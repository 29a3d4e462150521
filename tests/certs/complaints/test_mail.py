"""Mail about complaints, over a real server of RFC 5321: who is told what, and what never leaves by mail."""

from datetime import timedelta

import pytest
import time_machine

from certs.complaints.models import Complaint
from certs.complaints.operations import Outside, receive, tell
from certs.complaints.rules import Channel, Finding, Step
from tests.cast import AT, ON, Cast
from tests.certs.complaints.conftest import WHAT, do, given
from tests.mailbox import Box
from training.mail.models import UnsentMail
from training.people.models import Person

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("today")]


def said(box: Box, person: Person) -> str:
    """Return the newest mail to a person, as one line."""
    return " ".join(box.to(person)[-1].split())


def test_receipt(cast: Cast, box: Box, typed: dict[str, object]) -> None:
    """Who complained has number and day at once; who may take it up hears of it, without what it says."""
    for minutes in (0, 1):
        with time_machine.travel(AT + timedelta(minutes=minutes), tick=False):
            cast.client("sol").post("/complaints/new/", typed)
    number = Complaint.objects.get().number
    assert sorted(str(one["To"]) for one in box.mails) == [cast.dora.email, cast.max.email, cast.sol.email]
    assert f"We have received your complaint {number}. You will have an answer by 25 Dec 2026." in said(box, cast.sol)
    assert f"Complaint {number} waits for somebody to take it up." in said(box, cast.max)
    assert all(WHAT not in said(box, one) for one in (cast.max, cast.dora))


def test_who_is_complained_of_hears_nothing(cast: Cast, box: Box) -> None:
    found = receive(given=given(of=cast.max), by=cast.ada, on=ON, at=AT)
    tell(complaint=found, step=None, by=cast.ada, on=ON, at=AT)
    assert sorted(str(one["To"]) for one in box.mails) == [cast.ada.email, cast.dora.email]


def test_to_the_answer(cast: Cast, box: Box, complaint: Complaint) -> None:
    """Each step to whom it concerns, in their language; what the other side said stays on the page."""
    Person.objects.filter(pk=cast.sol.pk).update(language="fr")
    at, client = f"/complaints/{complaint.pk}", cast.client("max")
    client.post(f"{at}/take/")
    assert f"Max Administrator examine votre plainte {complaint.number}." in said(box, cast.sol)
    client.post(f"{at}/asked/", {"asked": cast.ada.pk, "text": "How was it cleaned?"})
    assert "Please answer by 5 Dec 2026. How was it cleaned?" in said(box, cast.ada)
    cast.client("ada").post(f"{at}/side/", {"text": "By brush."})
    assert f"The side you asked for in complaint {complaint.number} has come." in said(box, cast.max)
    assert "By brush." not in said(box, cast.max)
    before = len(box.mails)
    client.post(f"{at}/found/", {"finding": Finding.UPHELD, "text": "No bright steel."})
    client.post(f"{at}/done/", {"text": "Three shots."})
    assert len(box.mails) == before
    client.post(f"{at}/closed/", {"text": "You were right."})
    assert f"Voici la réponse à votre plainte {complaint.number}. You were right. Max Administrator" in said(
        box, cast.sol
    )
    assert said(box, cast.sol).endswith(f"{at}/")


def test_to_nobody_outside(cast: Cast, box: Box) -> None:
    """Whoever handles it writes to them: the site does not know whether the address is theirs."""
    outside = Outside(name="Owner", channel=Channel.MAIL, contact="owner@example.org", came_on=ON)
    found = receive(given=given(), outside=outside, by=cast.max, on=ON, at=AT)
    do(cast, found, Step.FOUND, finding=Finding.UPHELD)
    step = do(cast, found, Step.CLOSED, reached="Letter of today")
    assert tell(complaint=found, step=step, by=cast.max, on=ON, at=AT) == ()
    assert box.mails == []


def test_waits_where_the_server_is_away(cast: Cast, complaint: Complaint, settings: object) -> None:
    """The answer stands whatever becomes of its mail, which is tried again; who closed it is told whom to tell."""
    do(cast, complaint, Step.FOUND, finding=Finding.NOT_UPHELD)
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"  # type: ignore[attr-defined]
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 9  # type: ignore[attr-defined]
    answer = cast.client("max").post(f"/complaints/{complaint.pk}/closed/", {"text": "It was tight."}, follow=True)
    assert "No mail has reached Sol Supervisor yet. Tell them yourself." in answer.text
    assert "It was tight." in UnsentMail.objects.get(person=cast.sol).body
    assert complaint.steps.filter(step=Step.CLOSED).exists()
