"""Who makes and revokes tokens, and what the pages say."""

from typing import Any

import pytest
import time_machine
from django.core.cache import cache
from django.db import IntegrityError
from django.test import Client
from django.urls import reverse

from certs.gates import operations, rules
from certs.gates.models import GateToken
from tests.cast import AT, ON, Cast
from tests.certs import factory
from training.ledger.models import Entry
from training.people.models import Employer, RoleHeld
from training.people.rules import Role

INDEX, MAKE = "/gate/", "/gate/make/"


@pytest.fixture(autouse=True)
def clock(db: None) -> Any:
    cache.clear()
    with time_machine.travel(AT, tick=False) as travel:
        yield travel


def made(cast: Cast, name: str = "Depot gate", employer: Employer | None = None) -> GateToken:
    operations.make_token(employer=employer or cast.northmoor, name=name, by=cast.sol, at=AT)
    return GateToken.objects.get(name=name)


class TestMaking:
    def test_shows_the_token_once(self, cast: Cast) -> None:
        """It asks at once; no page shows it again; the ledger knows who made it."""
        factory.card(cast, cast.ada, on=ON)
        page = cast.client("sol").post(MAKE, {"employer": cast.northmoor.pk, "name": "North gate"})
        assert page["Cache-Control"] == "no-store"
        text = page.content.decode().partition("data-token>")[2].partition("<")[0]
        asked = Client().get(
            "/gate/v1/standing", {"person": "ada", "scheme": "bonds"}, headers={"Authorization": f"Bearer {text}"}
        )
        assert asked.json()["current"] is True
        again = cast.client("sol").get(INDEX).content.decode()
        assert "North gate" in again
        assert rules.read_token(text) is not None
        assert text.rpartition(".")[2] not in again
        entry, token = Entry.objects.get(act="gate token made"), GateToken.objects.get()
        assert (entry.by, entry.about) == (
            cast.sol.pk,
            {"token": token.pk, "employer": cast.northmoor.pk},
        )

    def test_is_for_an_employer_one_keeps(self, cast: Cast) -> None:
        """A supervisor for their own, an administrator of the body for anyone, an own administrator for their own."""
        RoleHeld.objects.create(person=cast.ben, role=Role.ADMINISTRATOR, from_on=ON)
        outcomes = {
            (who, employer.slug): cast.client(who).post(
                MAKE, {"employer": employer.pk, "name": f"{who} {employer.slug}"}
            )
            for who in ("sol", "ben", "max", "rex")
            for employer in (cast.northmoor, cast.elsewhere)
        }
        shown = {pair for pair, page in outcomes.items() if "data-token" in page.content.decode()}
        assert shown == {
            ("sol", "northmoor"),
            ("ben", "northmoor"),
            ("max", "northmoor"),
            ("max", "elsewhere"),
            ("rex", "elsewhere"),
        }
        assert "Elsewhere" not in outcomes["sol", "elsewhere"].content.decode()

    @pytest.mark.parametrize("who", ["ada", "tess"])
    def test_is_not_for_others(self, cast: Cast, who: str) -> None:
        """Crew, and a trainer of the body."""
        assert cast.client(who).get(INDEX).status_code == 403
        assert cast.client(who).post(MAKE, {"employer": cast.northmoor.pk, "name": "x"}).status_code == 403
        assert not GateToken.objects.exists()

    def test_refuses_a_name_in_use_and_no_name(self, cast: Cast) -> None:
        """With a sentence beside the field, and nothing typed is lost; a revoked name is free again."""
        token = made(cast)
        page = cast.client("sol").post(MAKE, {"employer": cast.northmoor.pk, "name": "Depot gate"}).content.decode()
        assert "A token of that name is in use" in page
        assert 'value="Depot gate"' in page
        assert "<title>Error:" in " ".join(page.split()).replace("<title> ", "<title>")
        page = cast.client("sol").post(MAKE, {"employer": cast.northmoor.pk, "name": " "}).content.decode()
        assert "Name the gate or system" in page
        operations.revoke_token(token=token, by=cast.sol, at=AT)
        assert made_again(cast)

    def test_refuses_more_than_anybody_needs(self, cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
        """And says what to do."""
        monkeypatch.setattr(operations, "MOST_TOKENS", 1)
        made(cast)
        page = cast.client("sol").post(MAKE, {"employer": cast.northmoor.pk, "name": "Another"}).content.decode()
        assert "revoke one that nobody uses" in page

    def test_is_guarded_by_the_database(self, cast: Cast) -> None:
        """Two of one name are refused there as well."""
        token = made(cast)
        facts = {"employer": token.employer, "name": token.name, "digest": "0" * 64, "made_by": cast.sol, "made_at": AT}
        with pytest.raises(IntegrityError):
            GateToken.objects.create(handle="otherone", **facts)


def made_again(cast: Cast) -> str:
    return operations.make_token(employer=cast.northmoor, name="Depot gate", by=cast.sol, at=AT)


class TestRevoking:
    def test_is_noted_once(self, cast: Cast) -> None:
        """By whom and when; a second press changes nothing."""
        url = reverse("gates:revoke", args=[made(cast).pk])
        asked = cast.client("sol").get(url).content.decode()
        assert "Whatever of Northmoor Track asks with this token gets no answer any more" in asked
        assert GateToken.objects.get().revoked_at is None
        page = cast.client("sol").post(url, follow=True).content.decode()
        assert "gets no answer" in page
        assert "revoked 25 Nov 2026, Sol Supervisor" in page
        cast.client("max").post(url)
        assert GateToken.objects.get().revoked_by == cast.sol
        assert Entry.objects.filter(act="gate token revoked").count() == 1

    def test_of_a_stranger_is_not_there(self, cast: Cast) -> None:
        """404, and it answers on."""
        url = reverse("gates:revoke", args=[made(cast).pk])
        assert cast.client("rex").post(url).status_code == 404
        assert GateToken.objects.get().revoked_at is None

    def test_needs_somebody_and_a_moment(self, cast: Cast) -> None:
        """By a constraint of the database."""
        made(cast)
        with pytest.raises(IntegrityError):
            GateToken.objects.update(revoked_at=AT)


class TestList:
    def test_shows_ones_own_employer_only(self, cast: Cast) -> None:
        """And every employer to the body's administrator."""
        made(cast, "Depot gate")
        made(cast, "Their gate", cast.elsewhere)
        assert "Their gate" not in cast.client("sol").get(INDEX).content.decode()
        page = cast.client("max").get(INDEX).content.decode()
        assert "Their gate" in page
        assert "Depot gate" in page

    def test_shows_those_in_use_first(self, cast: Cast) -> None:
        """On either database: what is not revoked comes before what is."""
        operations.revoke_token(token=made(cast, "Arch"), by=cast.sol, at=AT)
        made(cast, "Yard")
        page = cast.client("sol").get(INDEX).content.decode()
        assert page.index("Yard") < page.index("Arch")

    def test_costs_the_same_for_many(self, cast: Cast, django_assert_num_queries: Any) -> None:
        """One query for the tokens."""
        made(cast)
        client = cast.client("sol")
        with django_assert_num_queries(8) as few:
            client.get(INDEX)
        for place in range(5):
            made(cast, f"Gate {place}")
        with django_assert_num_queries(len(few)):
            client.get(INDEX)


class TestAbout:
    def test_tells_what_the_answer_holds(self, cast: Cast) -> None:
        """Every field, every standing and every status, for anyone; no session is begun."""
        answer = Client().get("/gate/about/")
        page = answer.content.decode()
        assert not answer.cookies
        from certs.cards.rules import Standing  # noqa: PLC0415

        body = rules.Answer(
            asked=("person", "ada"), scheme="bonds", on=ON, zone="Europe/London", standing="current", current=True
        ).body
        for word in [
            *body,
            *(standing.value for standing in Standing),
            rules.NO_CARD,
            "400",
            "401",
            "404",
            "405",
            "429",
            "503",
        ]:
            assert word in page, word
        assert str(rules.ASKED_A_MINUTE) in page
