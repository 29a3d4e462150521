"""What is kept of a complaint, and for whom: terms are common practice, no source."""

from datetime import timedelta
from typing import Any

import pytest

from certs.complaints.models import Complaint, Outsider
from certs.complaints.operations import Outside, receive
from certs.complaints.rules import Channel, Finding, Step
from certs.retention.operations import purge
from certs.retention.queries import against, copy, held
from tests.cast import AT, ON, Cast
from tests.certs.complaints.conftest import WHAT, do, given

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("today")]


def test_the_address_of_somebody_outside_goes(cast: Cast) -> None:
    """Two years after the answer; while it is open, and the complaint itself, stay."""
    outside = Outside(name="Owner", channel=Channel.MAIL, contact="owner@example.org", came_on=ON)
    closed, waits = (
        receive(given=given(what=what), outside=outside, by=cast.max, on=ON, at=AT) for what in ("One.", "Other.")
    )
    do(cast, closed, Step.FOUND, finding=Finding.UPHELD)
    do(cast, closed, Step.CLOSED, reached="Letter")
    purge(at=AT + timedelta(days=730))
    assert Outsider.objects.count() == 2
    assert purge(at=AT + timedelta(days=731))["who complained from outside"] == 1
    assert Outsider.objects.get().complaint == waits
    assert Complaint.objects.count() == 2
    assert "somebody outside, by e-mail" in cast.client("max").get(f"/complaints/{closed.pk}/").text


def test_the_copy_holds_what_is_read_on_the_page(cast: Cast, complaint: Complaint) -> None:
    """Who complained: their own words and the answer. Who is complained of: their own side, and nothing else."""
    do(cast, complaint, Step.ASKED, asked=cast.ada)
    do(cast, complaint, Step.SIDE, by="ada", text="By brush.")
    do(cast, complaint, Step.FOUND, finding=Finding.UPHELD, text="No bright steel.")
    do(cast, complaint, Step.CLOSED, text="You were right.")
    own, other = (str(_complaints(copy(person, at=AT))) for person in (cast.sol, cast.ada))
    assert WHAT in own
    assert "You were right." in own
    assert "By brush." in other
    for hidden in ("By brush.", "No bright steel."):
        assert hidden not in own
    for hidden in (WHAT, "No bright steel.", "You were right."):
        assert hidden not in other
    assert [one.count for one in held(cast.sol) if "what you wrote" in str(one.words)] == [3]


def _complaints(made: dict[str, Any]) -> object:
    return made["complaints"]


def test_an_open_one_stands_against_erasing(cast: Cast, complaint: Complaint) -> None:
    """Of who complained, who is complained of, and who handles it."""
    says = "A complaint is not answered yet."
    assert says not in against(cast.max, on=ON, at=AT)
    do(cast, complaint, Step.FOUND, finding=Finding.NOT_UPHELD)
    assert all(says in against(one, on=ON, at=AT) for one in (cast.sol, cast.ada, cast.max))
    do(cast, complaint, Step.CLOSED)
    assert not any(says in against(one, on=ON, at=AT) for one in (cast.sol, cast.ada, cast.max))
