"""Mail about visits, over a real server of RFC 5321: who is told what, in which language, and what a dead one costs."""

import socket
from typing import Any

import pytest

from certs.visits.models import Visit
from certs.visits.rules import News, hearers
from tests.cast import AT, Cast
from tests.mailbox import Box
from training.mail.models import UnsentMail
from training.people.models import Person

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("today")]
TRAINER, ASKED, ONE, OTHER, ADMINISTRATOR = range(1, 6)


def said(box: Box, person: Person) -> str:
    """Return the newest mail to a person, as one line."""
    return " ".join(box.to(person)[-1].split())


@pytest.mark.parametrize(
    ("news", "agreed", "by", "expected"),
    [
        (News.ASKED, False, ASKED, (TRAINER,)),
        (News.ASKED, False, TRAINER, ()),
        (News.ACCEPTED, False, TRAINER, (ASKED, ONE, OTHER)),
        (News.DECLINED, False, TRAINER, (ASKED,)),
        (News.DECLINED, True, TRAINER, (ASKED, ONE, OTHER)),
        (News.CALLED_OFF, False, ASKED, (TRAINER,)),
        (News.CALLED_OFF, True, ASKED, (TRAINER, ONE, OTHER)),
        (News.CALLED_OFF, False, ADMINISTRATOR, (TRAINER, ASKED)),
    ],
)
def test_hearers(news: News, agreed: bool, by: int, expected: tuple[int, ...]) -> None:
    """Nobody is told what they did themself; the people it is for hear of it from the moment it is to be."""
    assert hearers(news, trainer=TRAINER, asked_by=ASKED, people=[ONE, OTHER], agreed=agreed, by=by) == expected


class TestTelling:
    def test_who_is_asked(self, cast: Cast, box: Box, visit: Visit) -> None:
        """The trainer reads who asks, the day, the place, for whom, and where to answer; nobody else gets a mail."""
        assert [one["To"] for one in box.mails] == [cast.olga.email]
        assert box.subjects(cast.olga) == ["You are asked to come"]
        mail = said(box, cast.olga)
        assert "Sol Supervisor asks you to come" in mail
        assert "Day: Monday, 30 Nov 2026 Place: Northmoor Track, North yard" in mail
        assert "- Ada Crew: shows the practical" in mail
        assert mail.endswith(f"/visits/{visit.pk}/")

    def test_who_asked_and_who_is_seen(self, cast: Cast, box: Box, visit: Visit) -> None:
        """Accepted: both are told once, each in their language, with the page they may open."""
        Person.objects.filter(pk=cast.ada.pk).update(language="es")
        Person.objects.filter(pk=cast.sol.pk).update(language="fr")
        for _twice in range(2):
            cast.client("olga").post(f"/visits/{visit.pk}/accept/")
        assert (box.subjects(cast.sol), box.subjects(cast.ada)) == (["Un formateur vient"], ["Viene un formador"])
        assert "Jour : lundi, 30 novembre 2026" in said(box, cast.sol)
        assert said(box, cast.sol).endswith(f"/visits/{visit.pk}/")
        # Months and weekdays as Django's own catalogues write them, which follow the Unicode CLDR.
        assert "Día: lunes, 30 de noviembre de 2026" in said(box, cast.ada)
        assert "hace la prueba práctica" in said(box, cast.ada)
        assert "/visits/" not in said(box, cast.ada)

    def test_what_undoes_it(self, cast: Cast, box: Box, visit: Visit) -> None:
        """Declined after all: with the reason to who asked, without it to who would have been seen."""
        olga = cast.client("olga")
        olga.post(f"/visits/{visit.pk}/accept/")
        olga.post(f"/visits/{visit.pk}/decline/", {"reason": "On leave; the 7th would do."})
        assert "Olga Assessor cannot come. Reason: On leave; the 7th would do." in said(box, cast.sol)
        assert box.subjects(cast.ada) == ["A trainer comes", "The trainer cannot come"]
        assert "On leave" not in said(box, cast.ada)
        assert "Ask for another day or another trainer here:" in said(box, cast.sol)
        assert "What you have to do next stands on your first page: https://" in said(box, cast.ada)

    def test_is_called_off(self, cast: Cast, box: Box, visit: Visit) -> None:
        """By an administrator: the trainer and who asked are told, and not who had not heard of it."""
        cast.client("max").post(f"/visits/{visit.pk}/call-off/")
        for one in (cast.olga, cast.sol):
            assert "Max Administrator has called this visit off." in said(box, one)
        assert box.to(cast.ada) == []


class TestFailing:
    def test_one_that_is_refused(self, cast: Cast, box: Box, visit: Visit) -> None:
        """The others get theirs, and whoever acted reads whom to tell; so too for one without an address."""
        box.refuses.add(cast.sol.email)
        page = cast.client("olga").post(f"/visits/{visit.pk}/accept/", follow=True).content.decode()
        assert "No mail has reached Sol Supervisor yet. Tell them yourself." in page
        assert UnsentMail.objects.get().person == cast.sol
        assert box.subjects(cast.ada) == ["A trainer comes"]
        Person.objects.filter(pk=cast.olga.pk).update(email="")
        page = cast.client("sol").post(f"/visits/{visit.pk}/call-off/", follow=True).content.decode()
        assert "No mail has reached Olga Assessor yet." in page

    def test_no_server(self, cast: Cast, settings: Any, typed: dict[str, object]) -> None:
        """Nobody listens on a port that was just let go: the visit is asked for all the same."""
        with socket.create_server(("127.0.0.1", 0)) as free:
            settings.EMAIL_PORT = free.getsockname()[1]
        settings.EMAIL_BACKEND, settings.EMAIL_HOST = "django.core.mail.backends.smtp.EmailBackend", "127.0.0.1"
        page = cast.client("sol").post("/visits/ask/", typed, follow=True)
        assert page.status_code == 200
        assert "No mail has reached Olga Assessor yet. Tell them yourself." in page.content.decode()
        assert Visit.objects.get().asked_at == AT
