"""What a gate is answered: standing, refusals, limits. Status codes by RFC 9110, RFC 6585 and RFC 6750."""

import json
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

import pytest
import time_machine
from django.core.cache import cache
from django.http import HttpResponse
from django.test import Client

from certs.board.queries import Asked, grid, value_of
from certs.cards import operations as cards
from certs.cards.rules import Step
from certs.gates import operations, queries
from tests.cast import AT, ON, Cast
from tests.certs import factory
from training.content.schemes import Unconfirmed
from training.people.models import Person

DAY = timedelta(days=1)
URL = "/gate/v1/standing"


@dataclass
class Gate:
    """A gate of Northmoor with its token."""

    cast: Cast
    token: str
    client: Client = field(default_factory=Client)

    def ask(
        self, *, token: str | None = None, method: str = "get", query: str = "", **parameters: object
    ) -> HttpResponse:
        headers = {"Authorization": f"Bearer {token or self.token}"}
        address = f"{URL}?{query}" if query else URL
        answer = getattr(self.client, method)(address, parameters or None, headers=headers)
        assert answer.headers["Cache-Control"] == "no-store"
        assert not answer.cookies
        return answer

    def told(self, **parameters: object) -> dict[str, Any]:
        answer = self.ask(**parameters)
        assert (answer.status_code, answer["Content-Type"]) == (200, "application/json"), answer.content
        return json.loads(answer.content)


@pytest.fixture
def clock() -> Any:
    with time_machine.travel(AT, tick=False) as travel:
        yield travel


@pytest.fixture
def gate(cast: Cast, clock: Any) -> Gate:
    cache.clear()
    return Gate(cast, operations.make_token(employer=cast.northmoor, name="Depot gate", by=cast.sol, at=AT))


def problem(answer: HttpResponse, status: int) -> dict[str, Any]:
    """Read problem details (RFC 9457, 3): media type, the four members, the status twice."""
    assert (answer.status_code, answer["Content-Type"]) == (status, "application/problem+json")
    body = json.loads(answer.content)
    assert (body["type"], body["status"]) == ("about:blank", status)
    assert body["detail"].endswith((".", "errors."))
    return body


class TestAnswer:
    def test_of_somebody_current(self, gate: Gate) -> None:
        """Every field of version 1, and no name but the one that was asked for."""
        factory.card(gate.cast, gate.cast.ada, on=ON)
        answer = gate.ask(person="ada", scheme="bonds")
        assert json.loads(answer.content) == {
            "version": 1,
            "person": "ada",
            "scheme": "bonds",
            "on": "2026-11-25",
            "zone": "Europe/London",
            "current": True,
            "standing": "current",
            "until": "2029-11-24",
            "confirm_by": "2027-05-25",
            "since": None,
            "why": "",
            "warning": "",
        }
        assert "Ada" not in answer.content.decode()
        assert "FB-" not in answer.content.decode()

    def test_of_somebody_by_the_employers_number(self, gate: Gate) -> None:
        """Which a stranger of another employer may have as well; the user name is not told."""
        factory.card(gate.cast, gate.cast.ada, on=ON)
        Person.objects.filter(username__in=["ada", "quin"]).update(number="0047")
        answer = gate.ask(number="0047", scheme="bonds")
        told = json.loads(answer.content)
        assert (told["number"], told["current"]) == ("0047", True)
        assert "ada" not in answer.content.decode()

    def test_of_a_card_by_its_number(self, gate: Gate) -> None:
        """As it is typed; the scheme need not be given."""
        card = factory.card(gate.cast, gate.cast.ada, on=ON)
        typed = card.number.lower().replace("-", " ")
        for facts in ({"card": typed}, {"card": typed, "scheme": "bonds"}):
            told = gate.told(**facts)
            assert (told["card"], told["scheme"], told["current"]) == (card.number, "bonds", True)
            assert "person" not in told

    def test_of_a_replaced_card_is_about_that_very_card(self, gate: Gate) -> None:
        """The person may work under the new one; the old plastic opens nothing."""
        old = factory.card(gate.cast, gate.cast.ada, on=ON)
        cards.replace_lost(card=old, by=gate.cast.max, reason="Lost.", on=ON, at=AT)
        told = gate.told(card=old.number)
        assert (told["current"], told["standing"], told["since"]) == (False, "replaced", "2026-11-25")
        assert gate.told(person="ada", scheme="bonds")["current"]

    def test_of_another_scheme_is_no_card(self, gate: Gate) -> None:
        """Asked by person or by number."""
        card = factory.card(gate.cast, gate.cast.ada, on=ON)
        factory.scheme_issue(slug="leads", title="Leads")
        for facts in ({"person": "ada"}, {"card": card.number}):
            told = gate.told(**facts, scheme="leads")
            assert (told["current"], told["standing"], told["until"]) == (False, "no card", None)
            assert told["why"] == "No card of that scheme on that day."

    @pytest.mark.parametrize(
        ("on", "standing", "since"),
        [
            ("2026-11-24", "no card", None),
            ("2026-11-25", "current", None),
            ("2027-05-25", "current", None),
            ("2027-05-26", "work not confirmed", "2027-05-25"),
            ("2029-11-25", "lapsed", "2029-11-24"),
            ("0001-01-01", "no card", None),
            ("9999-12-31", "lapsed", "2029-11-24"),
        ],
    )
    def test_of_any_day(self, gate: Gate, on: str, standing: str, since: str | None) -> None:
        """Past, to come, and both ends of the calendar (ISO 8601)."""
        factory.card(gate.cast, gate.cast.ada, on=ON)
        told = gate.told(person="ada", scheme="bonds", on=on)
        assert (told["on"], told["standing"], told["since"]) == (on, standing, since)
        assert told["current"] is (standing == "current")
        assert bool(told["why"]) is not told["current"]

    @pytest.mark.parametrize("step", [Step.SUSPENDED, Step.WITHDRAWN])
    def test_follows_a_measure_at_once(self, gate: Gate, step: Step) -> None:
        """The reason that somebody wrote is not told."""
        card = factory.card(gate.cast, gate.cast.ada, on=ON)
        cards.measure(card=card, step=step, by=gate.cast.max, reason="secret", on=ON, at=AT)
        answer = gate.ask(person="ada", scheme="bonds")
        assert json.loads(answer.content)["standing"] == step.value
        assert "secret" not in answer.content.decode()

    def test_warns_where_the_scheme_only_warns(self, gate: Gate) -> None:
        """Work goes on, and the sentence is there."""
        factory.card(gate.cast, gate.cast.ada, on=ON, unconfirmed=Unconfirmed.WARNS)
        told = gate.told(person="ada", scheme="bonds", on="2027-05-26")
        assert told["current"] is True
        assert "25 May 2027" in told["warning"]

    def test_counts_the_day_where_the_scheme_is(self, gate: Gate, clock: Any) -> None:
        """24 Nov 2029 is over in Auckland while it is not in London (zone database)."""
        factory.card(gate.cast, gate.cast.ada, on=ON, zone="Pacific/Auckland")
        clock.move_to(datetime.fromisoformat("2029-11-24T11:30:00+00:00"))
        told = gate.told(person="ada", scheme="bonds")
        assert (told["on"], told["zone"], told["standing"]) == ("2029-11-25", "Pacific/Auckland", "lapsed")

    def test_is_that_of_the_board(self, gate: Gate) -> None:
        """Day by day over the whole life of a card that was suspended and reinstated, and beyond."""
        card = factory.card(gate.cast, gate.cast.ada, on=ON)
        for step, at in ((Step.SUSPENDED, 40), (Step.REINSTATED, 55)):
            on = ON + at * DAY
            cards.measure(card=card, step=step, by=gate.cast.max, reason="Event", on=on, at=factory.noon(on))
        seen = set()
        for days in [*range(-2, 60, 3), 181, 182, 910, 1094, 1095, 1096, 1400]:
            on = ON + days * DAY
            asked = queries.Asked(person="ada", scheme=card.scheme, on=on)
            said = queries.answer(gate.cast.northmoor, asked, at=AT)
            assert said is not None
            board = grid(Person.objects.all(), Asked(on=on, today=ON, name="Ada"), at=AT)
            (row,) = board.rows
            (shown,) = row.cells
            assert said.standing == value_of(shown.standing)
            seen.add(said.standing)
        assert {"no card", "current", "suspended", "work not confirmed", "lapsed"} <= seen

    def test_of_a_closed_account_is_told_of_the_past_alone(self, gate: Gate) -> None:
        """As the board shows it."""
        card = factory.card(gate.cast, gate.cast.ada, on=ON - 9 * DAY)
        Person.objects.filter(pk=gate.cast.ada.pk).update(is_active=False)
        for facts in ({"person": "ada", "scheme": "bonds"}, {"card": card.number}):
            assert gate.ask(**facts).status_code == 404
            assert gate.told(**facts, on="2026-11-24")["current"]
