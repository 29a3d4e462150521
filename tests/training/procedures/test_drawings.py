"""Drawings frozen with their revision: sent, and shown with their words."""

from collections.abc import Iterator
from dataclasses import replace
from html.parser import HTMLParser

import pytest
import time_machine

from tests.cast import AT, Cast
from tests.training.procedures.content import module, step
from tests.training.reply import page
from training.content.drawings import DrawingSpec
from training.procedures import operations, rules

SVG = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 640 480"><rect width="9" height="9"/></svg>'
PIN = DrawingSpec(
    name="pin",
    title="Pin loaded",
    description="A cut through the pin holder.",
    labels=("Pin & wire", "Holder"),
    width=640,
    height=480,
    svg=SVG,
)
REDRAWN = replace(PIN, svg=SVG.replace('"9"', '"8"'))
DRAWN = module(steps=(step("pin", "Load the pin", drawing="pin"), step()), drawings=(PIN,))
URL = "/procedures/setup/"
PICTURE = URL + "drawings/pin.svg"


@pytest.fixture
def site(cast: Cast) -> Iterator[Cast]:
    with time_machine.travel(AT, tick=False):
        operations.load([DRAWN], at=AT)
        yield cast


class Images(HTMLParser):
    """Every img of a page, and every id."""

    def __init__(self, body: str) -> None:
        super().__init__()
        self.images: list[dict[str, str | None]] = []
        self.ids: list[str | None] = []
        self.feed(body)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        facts = dict(attrs)
        self.images += [facts] if tag == "img" else []
        self.ids += [facts["id"]] if "id" in facts else []


class TestDrawing:
    def test_is_sent_as_a_picture_and_as_nothing_else(self, site):
        response = site.client("ada").get(PICTURE)
        assert response.content.decode() == SVG
        assert response["Content-Type"] == "image/svg+xml"
        assert response["X-Content-Type-Options"] == "nosniff"
        assert "script-src 'self'" in response["Content-Security-Policy"]

    def test_stays_with_its_revision(self, site):
        operations.load([replace(DRAWN, drawings=(REDRAWN,))], at=AT)
        client = site.client("ada")
        assert client.get(PICTURE).content.decode() == REDRAWN.svg
        assert client.get(PICTURE, {"revision": "1"}).content.decode() == SVG
        assert client.get(PICTURE, {"revision": "2"}).content.decode() == REDRAWN.svg

    @pytest.mark.parametrize(
        "address",
        [
            URL + "drawings/none.svg",
            "/procedures/none/drawings/pin.svg",
            PICTURE + "?revision=2",
            PICTURE + "?revision=x",
            URL + "drawings/../pin.svg",
            URL + "drawings/pin.png",
        ],
    )
    def test_is_not_found_under_another_name(self, site, address):
        assert site.client("ada").get(address).status_code == 404

    def test_asks_a_signed_out_visitor_to_sign_in(self, site):
        assert site.client("nobody").get(PICTURE).status_code == 302

    def test_is_only_looked_at(self, site):
        assert site.client("ada").post(PICTURE).status_code == 405


class TestModulePage:
    def test_shows_the_drawing_of_that_revision_with_its_words(self, site):
        operations.load([replace(DRAWN, drawings=(REDRAWN,))], at=AT)
        body = page(site.client("ada").get(URL, {"revision": "1"}))
        found = Images(body)
        (image,) = found.images
        assert image["src"] == PICTURE + "?revision=1"
        assert (image["alt"], image["width"], image["height"]) == ("Pin loaded", "640", "480")
        assert found.ids.count(image["aria-describedby"]) == 1
        assert f'id="{image["aria-describedby"]}">A cut through the pin holder.' in body
        assert "<ol><li>Pin &amp; wire</li><li>Holder</li></ol>" in body

    def test_shows_a_drawing_in_two_steps_without_using_an_id_twice(self, site):
        operations.load([replace(DRAWN, steps=(step("pin", drawing="pin"), step(drawing="pin")))], at=AT)
        found = Images(page(site.client("ada").get(URL)))
        assert len(found.images) == 2
        assert len(found.ids) == len(set(found.ids))

    def test_leaves_out_the_list_of_a_drawing_without_markers(self, site):
        operations.load([replace(DRAWN, drawings=(replace(PIN, labels=()),))], at=AT)
        body = page(site.client("ada").get(URL))
        assert "<ol></ol>" not in body
        assert len(Images(body).images) == 1


class TestChanges:
    def test_counts_a_step_whose_drawing_was_redrawn(self):
        newer = replace(DRAWN, drawings=(REDRAWN,)).as_json()
        assert [change.slug for change in rules.changes(DRAWN.as_json(), newer).altered] == ["pin"]

    def test_reads_a_body_from_before_there_were_drawings(self):
        older = module().as_json()
        del older["drawings"]
        assert rules.changes(older, module().as_json()).altered == ()
        assert rules.drawings(older) == {}
