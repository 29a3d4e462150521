"""The pages of an administrator over HTTP."""

import re
from collections.abc import Iterator

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from tests.cast import AT, PASSWORD, Cast, person
from tests.training.reply import page
from training.people.models import Crew, Person
from training.people.rules import Role


@pytest.fixture
def site(cast: Cast) -> Iterator[Cast]:
    with time_machine.travel(AT, tick=False):
        yield cast


@pytest.fixture
def nora(site: Cast) -> Client:
    """A client of an employer's own administrator."""
    client = Client()
    client.force_login(person("nora", "Nora Administrator", site.northmoor, Role.ADMINISTRATOR))
    return client


def new(cast: Cast, **said):
    facts = {
        "name": "Una New",
        "username": "una",
        "email": "",
        "employer": cast.northmoor.pk,
        "role": "crew",
        "crew": "",
    }
    return facts | said


def change(client: Client, who: Person, act: str, **said):
    data = {"act": act} | {f"{act}-{name}": value for name, value in said.items()}
    return client.post(f"/people/{who.pk}/", data, follow=True)


class TestIndex:
    def test_shows_everyone_with_roles_and_crews_to_the_body(self, site):
        body = page(site.client("max").get("/people/"))
        assert "9 people" in body
        assert "Quin Stranger" in body
        assert "Gang 1" in body
        assert "supervisor" in body

    def test_shows_an_employers_administrator_their_own_people_only(self, site, nora):
        body = page(nora.get("/people/"))
        assert "Ada Crew" in body
        assert "Quin" not in body
        assert "Elsewhere" not in body

    def test_finds_by_a_part_of_the_name(self, site):
        body = page(site.client("max").get("/people/", {"name": "crew"}))
        assert "2 people" in body
        assert "Sol" not in body

    def test_says_when_nobody_is_found(self, site):
        assert "Nobody of that name" in page(site.client("max").get("/people/", {"name": "zz"}))

    def test_says_so_when_the_name_is_too_long_to_look_for(self, site):
        assert "error-summary" in page(site.client("max").get("/people/", {"name": "z" * 121}))

    @pytest.mark.parametrize("who", ["ada", "sol", "tess"])
    def test_is_closed_to_other_roles(self, site, who):
        assert site.client(who).get("/people/").status_code == 403

    def test_takes_as_many_queries_for_many_as_for_few(self, site):
        client = site.client("max")
        client.get("/people/")  # the first page of a session writes down when it began
        with CaptureQueriesContext(connection) as few:
            client.get("/people/")
        for number in range(40):
            person(f"p{number}", f"P {number}", site.northmoor, Role.CREW)
        with CaptureQueriesContext(connection) as many:
            client.get("/people/")
        assert len(many) == len(few)

    def test_turns_pages(self, site):
        for number in range(60):
            person(f"p{number}", f"P {number}", site.northmoor, Role.CREW)
        first = page(site.client("max").get("/people/"))
        second = page(site.client("max").get("/people/", {"page": 2}))
        assert "Page 1 of 2" in first
        assert "Page 2 of 2" in second
        assert "Later names" in first
        assert "Earlier names" in second


class TestAdd:
    def test_leads_to_the_page_that_makes_the_link(self, site, nora):
        body = page(nora.post("/people/add/", new(site, crew=site.crew.pk), follow=True))
        assert "Now make a sign-in link, so that Una New can come in." in body
        assert "open, no password yet" in body

    def test_offers_an_employers_administrator_their_own_employer_and_roles_only(self, site, nora):
        Crew.objects.create(employer=site.elsewhere, name="Gang 9")
        body = page(nora.get("/people/add/"))
        assert "Northmoor Track" in body
        for other in ("Elsewhere", "Gang 9", 'value="trainer"', 'value="administrator"'):
            assert other not in body
        assert 'value="administrator"' in page(site.client("max").get("/people/add/"))

    @pytest.mark.parametrize(
        ("said", "sentence"),
        [
            ({"name": ""}, "Give the full name, as on the card."),
            ({"username": "Una New"}, "Use small letters, digits, dots and hyphens only"),
            ({"username": ""}, "Give a user name, such as a.smith."),
            ({"username": "ada"}, "Somebody has this user name already. Give another one."),
            ({"name": "ada  CREW"}, "at this employer already. If this is somebody else, give the number."),
            ({"email": "una"}, "Give the address in full"),
            ({"role": "trainer"}, "Choose one of the roles in the list."),
            ({"role": ""}, "Choose a role."),
            ({"employer": "999"}, "Choose one of the employers in the list."),
            ({"crew": "999"}, "Choose one of the crews in the list."),
        ],
    )
    def test_says_what_to_do_and_loses_nothing_typed(self, site, nora, said, sentence):
        body = page(nora.post("/people/add/", new(site, **{"name": "Una Kept", "email": "una@example.org"} | said)))
        assert body.count(sentence) == 2  # in the summary and beside the field
        assert "<title>Error:" in body
        assert ("Una Kept" in body) is ("name" not in said)
        assert not Person.objects.filter(username="una").exists()

    def test_says_when_the_crew_is_another_employers(self, site):
        body = page(site.client("max").post("/people/add/", new(site, employer=site.elsewhere.pk, crew=site.crew.pk)))
        assert body.count("Choose a crew of this person&#x27;s own employer.") == 2


class TestPerson:
    def test_puts_a_name_right(self, site, nora):
        """Filled in with what is kept; a printed card does not change by itself, and the page says so."""
        address = f"/people/{site.ada.pk}/"
        body = page(nora.get(address))
        assert f'name="put_right-email" value="{site.ada.email}"' in body
        assert 'href="#facts"' in body and 'id="facts"' in body  # far down on a phone
        sent = {"act": "put_right", "put_right-name": "Ada Krew", "put_right-email": "ada@"}
        assert "Give the address in full" in page(nora.post(address, sent))
        kept = page(nora.post(address, sent | {"put_right-email": "ada@example.org"}, follow=True))
        assert "<h1>Ada Krew</h1>" in kept and "keeps the old name" in kept

    def test_shows_the_account_its_roles_and_crews(self, site, nora):
        body = page(nora.get(f"/people/{site.ada.pk}/"))
        for said in ("Ada Crew", "Northmoor Track", "ada@example.org", "crew member", "Gang 1", "until further notice"):
            assert said in body

    def test_links_every_field_to_its_label(self, site, nora):
        body = page(nora.get(f"/people/{site.ada.pk}/"))
        labels = re.findall(r'<label[^>]*?\sfor="([^"]+)"', body)
        assert len(labels) == len(set(labels)) == 21
        assert all(f'id="{label}"' in body for label in labels)

    @pytest.mark.parametrize("method", ["get", "post"])
    def test_of_another_employer_is_not_found(self, site, nora, method):
        response = getattr(nora, method)(f"/people/{site.quin.pk}/", {"act": "close"})
        assert response.status_code == 404
        assert "Quin" not in response.content.decode()

    @pytest.mark.parametrize("who", ["ada", "sol", "tess"])
    def test_is_closed_to_other_roles(self, site, who):
        assert site.client(who).post(f"/people/{site.ada.pk}/", {"act": "close"}).status_code == 403
        assert Person.objects.get(pk=site.ada.pk).is_active

    def test_gives_and_ends_a_role(self, site, nora):
        body = page(
            change(nora, site.ada, "give_role", role="supervisor", from_on="2026-11-26", until_on="30 Nov 2026")
        )
        assert "The role is given." in body
        held = site.ada.roles_held.get(role="supervisor")
        assert "supervisor, from 26 Nov 2026" in body
        assert str(held.until_on) == "2026-11-30"
        assert "last day" in page(change(nora, site.ada, "end_role", held=held.pk, until_on="2026-11-27"))
        held.refresh_from_db()
        assert str(held.until_on) == "2026-11-27"

    def test_joins_and_leaves_a_crew(self, site, nora):
        page(change(nora, site.ben, "join_crew", crew=site.crew.pk, from_on="2026-11-20"))
        row = site.ben.crew_memberships.get()
        page(change(nora, site.ben, "leave_crew", membership=row.pk, until_on="2026-11-24"))
        row.refresh_from_db()
        assert str(row.until_on) == "2026-11-24"

    def test_closes_and_opens_the_account(self, site, nora):
        assert "can no longer sign in" in page(change(nora, site.ada, "close"))
        # A closed account is out at once, in the middle of its session.
        assert site.client("ada").get("/procedures/").status_code == 302
        assert "can sign in again" in page(change(nora, site.ada, "open"))
        # The session that was closed stays closed.
        assert site.client("ada").get("/procedures/").status_code == 302
        answer = Client().post("/account/login/", {"login": "ada", "password": PASSWORD})
        assert answer["Location"] == "/"

    def test_moves_to_another_employer(self, site):
        """The supervisor there before gets nothing more, at once, and the new one does."""
        before, after = site.client("sol"), site.client("rex")
        record = f"/records/{site.ada.pk}/"
        assert [each.get(record).status_code for each in (before, after)] == [200, 404]
        body = page(change(site.client("max"), site.ada, "move", employer=site.elsewhere.pk, number="S-7"))
        assert "works for the new employer from now on" in body
        assert [each.get(record).status_code for each in (before, after)] == [404, 200]

    def test_offers_no_other_employer_to_an_employers_administrator(self, site, nora):
        assert "Works for" not in page(nora.get(f"/people/{site.ada.pk}/"))
        change(nora, site.ada, "move", employer=site.elsewhere.pk)
        site.ada.refresh_from_db()
        assert site.ada.employer == site.northmoor

    def test_says_why_a_change_is_refused_and_keeps_what_was_typed(self, site, nora):
        body = page(change(nora, site.ada, "give_role", role="supervisor", from_on="2026-11-01"))
        assert "what held stays on record" in body
        assert "<title>Error:" in body
        assert 'value="2026-11-01"' in body
        assert '<option value="supervisor" selected>' in body

    def test_says_beside_the_day_what_is_wrong_with_it(self, site, nora):
        said = {"role": "supervisor", "from_on": "2026-11-27", "until_on": "2026-11-26"}
        body = page(change(nora, site.ada, "give_role", **said))
        assert body.count("Give a last day that is not before the first.") == 2
        assert 'href="#id_give_role-until_on"' in body
        body = page(change(nora, site.ada, "give_role", role="crew", from_on="2026-11-25"))
        assert body.count("This is already on record for some of these days.") == 2
        assert 'href="#id_give_role-from_on"' in body

    def test_says_how_to_write_a_day(self, site, nora):
        body = page(change(nora, site.ada, "end_role", held=site.ada.roles_held.get().pk, until_on="11/30"))
        assert "Give the day as 2026-11-30 or 30 Nov 2026." in body

    def test_offers_no_role_of_the_body_to_an_employers_administrator(self, site, nora):
        body = page(change(nora, site.ada, "give_role", role="trainer", from_on="2026-11-25"))
        assert "Choose one of the roles in the list." in body
        assert not site.ada.roles_held.filter(role="trainer").exists()

    def test_does_nothing_for_an_act_it_does_not_know(self, site, nora):
        assert "Ada Crew" in page(change(nora, site.ada, "promote"))

    def test_has_no_time_or_role_of_another_person_to_choose(self, site, nora):
        held = site.sol.roles_held.get()
        body = page(change(nora, site.ada, "end_role", held=held.pk, until_on="2026-11-25"))
        assert "Choose one of the roles in the list." in body
        held.refresh_from_db()
        assert held.until_on is None
