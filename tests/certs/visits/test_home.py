"""What the home page says of visits, to each of the three."""

from datetime import timedelta

import pytest

from certs.visits.models import Visit
from certs.visits.queries import on_home
from tests.cast import ON, Cast
from training.people.rules import Role

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("today")]


def home(cast: Cast, name: str) -> str:
    """Return the home page of somebody, as one line."""
    return " ".join(cast.client(name).get("/").content.decode().split())


def test_the_trainer_is_waited_for(cast: Cast, visit: Visit) -> None:
    """How many wait, with the way there; once accepted, day and place of the next ones."""
    assert "1 visit asked of you waits for your answer" in home(cast, "olga")
    assert "Trainer visits</h2>" not in home(cast, "tess")
    cast.client("olga").post(f"/visits/{visit.pk}/accept/")
    page = home(cast, "olga")
    assert "waits for your answer" not in page
    assert "Where I go next" in page
    assert f'href="/visits/{visit.pk}/">Mon 30 Nov 2026</a><br>Northmoor Track, North yard' in page


def test_who_asked_reads_the_answer(cast: Cast, visit: Visit) -> None:
    """Nothing until there is one; accepted or declined for two weeks, while the day is to come."""
    assert "How trainers answered" not in home(cast, "sol")
    cast.client("olga").post(f"/visits/{visit.pk}/accept/")
    assert "<strong>Accepted</strong>" in home(cast, "sol")
    assert "How trainers answered" not in home(cast, "rex")
    cast.client("olga").post(f"/visits/{visit.pk}/decline/", {"reason": "On leave"})
    assert "<strong>Declined</strong>: On leave" in home(cast, "sol")
    Visit.objects.update(on=ON + timedelta(days=40))
    roles = {Role.SUPERVISOR}
    assert on_home(cast.sol, roles, on=ON + timedelta(days=14)) is not None
    assert on_home(cast.sol, roles, on=ON + timedelta(days=15)) is None


def test_a_crew_member_reads_who_comes(cast: Cast, visit: Visit) -> None:
    """From the acceptance on, and not once it is called off."""
    assert "A trainer comes for me" not in home(cast, "ada")
    cast.client("olga").post(f"/visits/{visit.pk}/accept/")
    assert "A trainer comes for me" in home(cast, "ada")
    assert "Mon 30 Nov 2026</strong>, North yard" in home(cast, "ada")
    assert "A trainer comes for me" not in home(cast, "ben")
    cast.client("sol").post(f"/visits/{visit.pk}/call-off/")
    assert "A trainer comes for me" not in home(cast, "ada")
