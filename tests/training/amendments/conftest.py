"""A site with one procedure in force, and what a trainer types to amend it."""

from collections.abc import Callable
from dataclasses import replace

import pytest
import time_machine
from django.http import HttpResponse
from django.urls import reverse

from tests.cast import AT, Cast
from tests.training.procedures.content import module, step
from training.amendments import rules
from training.amendments.models import Amendment
from training.content.drawings import DrawingSpec
from training.procedures import operations as procedures

SVG = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 10 10"/>'
DRAWN = DrawingSpec(name="leads", title="Both leads", description="Two.", labels=(), width=10, height=10, svg=SVG)
MODULE = replace(
    module(),
    steps=(step("pin", "Load the pin"), step(drawing="leads"), step("fault-dead", "Nothing happens")),
    drawings=(DRAWN,),
)
CHANGED = "The earth is now looked at twice, because one came loose."
Send = Callable[..., HttpResponse]


@pytest.fixture
def site(cast: Cast):
    """The cast and the module, at AT."""
    procedures.load([MODULE], at=AT)
    with time_machine.travel(AT, tick=False):
        yield cast


@pytest.fixture
def begin(site: Cast) -> Callable[..., Amendment]:
    """Begin an amendment through the page, as tess."""

    def _begin(name: str = "tess") -> Amendment:
        site.client(name).post(reverse("amendments:begin", args=["setup"]))
        return Amendment.objects.latest("pk")

    return _begin


@pytest.fixture
def send_step(site: Cast) -> Send:
    """Send the page of a step as tess, with changes to what stands there, and follow where it leads."""

    def _send(held: Amendment, slug: str = "earth", *, name: str = "tess", **changed: object) -> HttpResponse:
        held.refresh_from_db()
        found = rules.step_of(held.body, slug)
        fields = {**rules.step_fields(found), **changed} if found else changed
        return site.client(name).post(reverse("amendments:step", args=[held.pk, slug]), fields, follow=True)

    return _send


@pytest.fixture
def send_parts(site: Cast) -> Send:
    """Send the page of the whole as tess, with changes to what stands there, and follow where it leads."""

    def _send(held: Amendment, *, name: str = "tess", **changed: object) -> HttpResponse:
        held.refresh_from_db()
        fields = {"changed": held.what_changed, **rules.parts_fields(held.body), **changed}
        return site.client(name).post(reverse("amendments:parts", args=[held.pk]), fields, follow=True)

    return _send


@pytest.fixture
def proposed(site: Cast, begin, send_step, send_parts) -> Amendment:
    """An amendment of tess, proposed."""
    held = begin()
    send_step(held, hold="It does not rock, looked at twice.")
    send_parts(held, changed=CHANGED)
    site.client("tess").post(reverse("amendments:propose", args=[held.pk]))
    held.refresh_from_db()
    assert held.proposed_at == AT
    return held


@pytest.fixture
def digest(site: Cast) -> Callable[..., str]:
    """Return the digest on the preview, as olga sees it."""

    def _digest(held: Amendment, name: str = "olga") -> str:
        return site.client(name).get(reverse("amendments:preview", args=[held.pk])).context["seen"].digest

    return _digest
