"""The pages of procedures over HTTP."""

from collections.abc import Iterator

import pytest
import time_machine
from django.urls import reverse

from tests.cast import AT, Cast
from tests.training.procedures.content import module, revised
from tests.training.reply import page
from training.procedures import operations
from training.procedures.models import Reading

URL = "/procedures/setup/"


@pytest.fixture
def site(cast: Cast) -> Iterator[Cast]:
    with time_machine.travel(AT, tick=False):
        operations.load([module()], at=AT)
        yield cast


class TestIndex:
    def test_says_in_a_word_where_the_reader_stands(self, site):
        assert "To read" in page(site.client("ada").get("/procedures/"))
        site.client("ada").post(URL + "read/", {"revision": 1})
        assert "Read 25 Nov 2026" in page(site.client("ada").get("/procedures/"))
        operations.load([revised()], at=AT)
        assert "Changed since you read it" in page(site.client("ada").get("/procedures/"))

    def test_says_so_when_there_is_none(self, cast: Cast):
        assert "No procedure has been loaded" in page(cast.client("ada").get("/procedures/"))

    def test_sends_a_signed_out_visitor_to_sign_in(self, site):
        assert site.client("nobody").get("/procedures/").status_code == 302


class TestModule:
    def test_shows_every_part_of_the_procedure(self, site):
        body = page(site.client("ada").get(URL))
        for said in (
            "How to set up.", "Meter", "No permission", 'id="earth"', "Grind a bright spot", "All of the current",
            "Never a chain.", "Hold point", "It does not rock.", "at most", "120", "µΩ", "common practice, no source",
            "Limits of field repair", "Fault finding", 'id="fault-dead"', "Sources", "come before this page",
            "I have read this",
        ):  # fmt: skip
            assert said in body

    def test_says_what_stops_the_job_before_the_first_step(self, site):
        body = page(site.client("ada").get(URL))
        assert body.index("No permission") < body.index('<ol class="steps">')

    def test_marks_an_older_revision_and_offers_no_button(self, site):
        operations.load([revised()], at=AT)
        body = page(site.client("ada").get(URL + "?revision=1"))
        assert "Revision 1 is superseded" in body
        assert "I have read this" not in body

    def test_lists_what_changed_since_the_readers_revision(self, site):
        site.client("ada").post(URL + "read/", {"revision": 1})
        operations.load([revised()], at=AT)
        body = page(site.client("ada").get(URL))
        assert "Changed since you read revision 1" in body
        assert "The earth is now checked twice." in body
        assert 'href="#tug">Tug the plugs</a>' in body

    def test_says_when_the_procedure_is_out_of_use(self, site):
        operations.load([], at=AT)
        body = page(site.client("ada").get(URL))
        assert "No longer in use" in body
        assert "I have read this" not in body

    @pytest.mark.parametrize("number", ["7", "0", "-1", "x", "²", "٣", "9" * 30])
    def test_knows_no_such_revision(self, site, number):
        assert site.client("ada").get(URL, {"revision": number}).status_code == 404

    def test_knows_no_such_procedure(self, site):
        assert site.client("ada").get("/procedures/none/").status_code == 404


class TestRead:
    def test_records_the_reading_and_takes_the_button_away(self, site):
        response = site.client("ada").post(URL + "read/", {"revision": 1}, follow=True)
        body = page(response)
        assert response.redirect_chain == [(reverse("procedures:module", args=["setup"]), 302)]
        assert "Recorded: you have read revision 1 of Setting up." in body
        assert "I have read this" not in body

    def test_asks_again_when_a_newer_revision_came_in(self, site):
        operations.load([revised()], at=AT)
        body = page(site.client("ada").post(URL + "read/", {"revision": 1}, follow=True))
        assert "A newer revision came in while you were reading" in body
        assert not Reading.objects.exists()
        assert "I have read this" in body

    def test_records_nothing_for_a_procedure_out_of_use(self, site):
        operations.load([], at=AT)
        body = page(site.client("ada").post(URL + "read/", {"revision": 1}, follow=True))
        assert "Nothing was recorded" in body
        assert not Reading.objects.exists()

    @pytest.mark.parametrize("data", [{}, {"revision": "x"}, {"revision": "0"}])
    def test_sends_a_mangled_form_back_to_the_page(self, site, data):
        assert "press the button" in page(site.client("ada").post(URL + "read/", data, follow=True))
        assert not Reading.objects.exists()

    def test_is_not_done_by_looking(self, site):
        assert site.client("ada").get(URL + "read/").status_code == 405


class TestChanges:
    def load_two(self):
        operations.load([module()], at=AT)
        operations.load([revised()], at=AT)

    def test_says_removed_and_added_in_words(self, cast: Cast):
        self.load_two()
        page = cast.client("ada").get("/procedures/setup/changes/").text
        assert '<ins><span class="visually-hidden">added: </span>rock, looked at twice.</ins>' in page
        assert '<del><span class="visually-hidden">removed: </span>rock.</del>' in page
        assert "Step taken out: Load the pin" in page
        assert "The earth is now checked twice." in page

    def test_shows_the_pair_asked_for_the_older_first(self, cast: Cast):
        self.load_two()
        client = cast.client("ada")
        for asked in ("from=1&to=2", "from=2&to=1"):
            assert "From revision 1 to revision 2." in client.get(f"/procedures/setup/changes/?{asked}").text
        assert "Nothing a reader would see is different." in client.get("/procedures/setup/changes/?from=1&to=1").text

    @pytest.mark.parametrize("asked", ["from=1&to=3", "from=0", "from=x", "to=-1", "from=99999999999999"])
    def test_knows_no_revision_that_is_not_there(self, cast: Cast, asked):
        self.load_two()
        assert cast.client("ada").get(f"/procedures/setup/changes/?{asked}").status_code == 404
