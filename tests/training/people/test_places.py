"""Employers, crews, and the beginning of a site."""

from datetime import timedelta
from typing import ClassVar

import pytest
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command
from django.test import Client

from certs.cards.models import Card
from certs.cards.queries import face
from tests.cast import AT, ON, Cast, person
from tests.certs.factory import card
from tests.training.reply import page
from training.ledger.models import Entry
from training.people import operations
from training.people.models import Crew, Employer, Person, Site
from training.people.rules import Role

WHO = {"body": "Bonding Board", "zone": "Europe/London", "username": "first", "name": "First Person"}


@pytest.mark.django_db
class TestFound:
    def test_makes_body_and_administrator_who_can_sign_in(self) -> None:
        """A fresh site has one act without a person who asks."""
        person, phrase = operations.found(**WHO, on=ON, at=AT)
        assert person.check_password(phrase)
        assert person.employer.is_body
        assert person.roles_held.get().role == Role.ADMINISTRATOR
        assert Entry.objects.get().act == "site founded"

    def test_happens_once(self, cast: Cast) -> None:
        """A second body is refused with a sentence."""
        with pytest.raises(operations.AlreadyFounded, match="certification body already"):
            operations.found(**WHO, on=ON, at=AT)

    def test_command_says_what_is_wrong(self) -> None:
        """A zone that does not exist is named, and nothing is made."""
        with pytest.raises(CommandError, match="Give a time zone by its full name"):
            call_command("found", body="B", zone="Moon/Crater", username="first", name="F")
        assert not Person.objects.exists()

    def test_command_prints_the_password(self, capsys: pytest.CaptureFixture[str]) -> None:
        """The first password is shown once."""
        call_command("found", body="B", zone="Europe/London", username="first", name="F")
        phrase = capsys.readouterr().out.split("signs in with: ")[1].split("\n")[0]
        assert Person.objects.get().check_password(phrase)


@pytest.mark.django_db
class TestAddEmployer:
    def test_is_for_the_body(self, cast: Cast) -> None:
        """A supervisor, or an administrator of another employer, cannot add one."""
        with pytest.raises(operations.NotTheirs):
            operations.add_employer(by=cast.sol, name="New Lines", zone="Europe/London", on=ON, at=AT)
        made = operations.add_employer(by=cast.max, name="New Lines", zone="Europe/London", on=ON, at=AT)
        assert made.slug == "new-lines"

    def test_takes_a_name_of_any_script(self, cast: Cast) -> None:
        """A name without Latin letters still gets its own address."""
        assert operations.add_employer(by=cast.max, name="鉄道", zone="Asia/Tokyo", on=ON, at=AT).slug

    def test_refuses_a_name_that_stands(self, cast: Cast) -> None:
        """Two employers of one name could not be told apart."""
        with pytest.raises(ValidationError, match="already exists"):
            operations.add_employer(by=cast.max, name=cast.northmoor.name, zone="Europe/London", on=ON, at=AT)


@pytest.mark.django_db
class TestEmployersPage:
    def test_adds_a_crew_and_an_employer(self, cast: Cast) -> None:
        """Both forms of the page do their one thing."""
        client = cast.client("max")
        sent = {"act": "add_crew", "crew-employer": cast.northmoor.pk, "crew-name": "Gang 9"}
        assert client.post("/people/employers/", sent).status_code == 302
        assert Crew.objects.get(name="Gang 9").employer == cast.northmoor
        taken = {"act": "add_employer", "employer-name": cast.northmoor.name, "employer-zone": "Europe/London"}
        assert "There is an employer of that name already." in cast.client("max").post("/people/employers/", taken).text
        sent = {"act": "add_employer", "employer-name": "New Lines", "employer-zone": "Europe/London"}
        assert client.post("/people/employers/", sent).status_code == 302
        assert Employer.objects.filter(name="New Lines").exists()

    def test_says_what_to_do_and_keeps_what_was_typed(self, cast: Cast) -> None:
        """A crew of a name that stands comes back with its sentence."""
        sent = {"act": "add_crew", "crew-employer": cast.northmoor.pk, "crew-name": "Gang 1"}
        page = cast.client("max").post("/people/employers/", sent)
        assert page.text.count("already has a crew of that name") == 2  # in the summary and beside the field
        assert 'value="Gang 1"' in page.text

    def test_is_for_administrators(self, cast: Cast) -> None:
        """A crew member has no use for it."""
        assert cast.client("ada").get("/people/employers/").status_code == 403


@pytest.mark.django_db
class TestSites:
    def test_are_kept_by_their_employers_administrators(self, cast: Cast) -> None:
        """A supervisor keeps no accounts; the ledger names crew and site by number."""
        with pytest.raises(operations.NotTheirs):
            operations.add_site(by=cast.sol, employer=cast.northmoor, name="Depot", on=ON, at=AT)
        depot = operations.add_site(by=cast.max, employer=cast.northmoor, name="Depot", on=ON, at=AT)
        operations.place_crew(by=cast.max, crew=cast.crew, site=depot, on=ON, at=AT)
        assert Crew.objects.get(pk=cast.crew.pk).site == depot
        entry = Entry.objects.get(act="crew placed")
        assert entry.about == {"crew": cast.crew.pk, "employer": cast.northmoor.pk, "site": depot.pk}

    def test_are_of_the_crews_own_employer(self, cast: Cast) -> None:
        """Neither a new crew nor one that stands goes out from another employer's depot."""
        depot = operations.add_site(by=cast.max, employer=cast.elsewhere, name="Depot", on=ON, at=AT)
        with pytest.raises(operations.OtherSite):
            operations.place_crew(by=cast.max, crew=cast.crew, site=depot, on=ON, at=AT)
        with pytest.raises(operations.OtherSite):
            operations.add_crew(by=cast.max, employer=cast.northmoor, name="Gang 9", site=depot, on=ON, at=AT)

    def test_page_adds_one_and_places_a_crew(self, cast: Cast) -> None:
        """The list then tells the crews by site; a site of a name that stands comes back with its sentence."""
        client = cast.client("max")
        sent = {"act": "add_site", "site-employer": cast.northmoor.pk, "site-name": "Moor depot"}
        assert client.post("/people/employers/", sent).status_code == 302
        assert "already has a site of that name" in client.post("/people/employers/", sent).text
        place = {"act": "place_crew", "place-crew": cast.crew.pk, "place-site": Site.objects.get().pk}
        assert client.post("/people/employers/", place).status_code == 302
        places = f'>Moor depot</a>: <a href="/people/crews/{cast.crew.pk}/">Gang 1</a>'
        assert places in client.get("/people/employers/").text

    def test_page_refuses_another_employers_site_beside_its_field(self, cast: Cast) -> None:
        """Both choices stay chosen."""
        depot = operations.add_site(by=cast.max, employer=cast.elsewhere, name="Depot", on=ON, at=AT)
        sent = {"act": "place_crew", "place-crew": cast.crew.pk, "place-site": depot.pk}
        page = cast.client("max").post("/people/employers/", sent)
        assert "Choose a site of the crew&#x27;s own employer." in page.text
        assert f'<option value="{depot.pk}" selected>' in page.text


@pytest.fixture
def nora(cast: Cast) -> Person:
    """An administrator of an employer."""
    return person("nora", "Nora Administrator", cast.northmoor, Role.ADMINISTRATOR)


@pytest.mark.django_db
class TestAnotherName:
    NOW: ClassVar = {"on": ON, "at": AT}

    def test_is_given_by_who_keeps_the_place(self, cast: Cast, nora: Person) -> None:
        """Of employers by the body alone, as they are added; the ledger holds numbers and no name."""
        depot = operations.add_site(by=nora, employer=cast.northmoor, name="Depot", **self.NOW)
        operations.rename_crew(by=nora, crew=cast.crew, name="Moor gang", **self.NOW)
        operations.rename_site(by=nora, site=depot, name="Moor depot", **self.NOW)
        operations.rename_employer(by=cast.max, employer=cast.northmoor, name="Moor Track", **self.NOW)
        assert [str(row) for row in (Crew.objects.get(), Site.objects.get())] == ["Moor gang", "Moor depot"]
        entries = Entry.objects.filter(act__contains="renamed").order_by("seq")
        of = {"employer": cast.northmoor.pk}
        assert [entry.act for entry in entries] == ["crew renamed", "site renamed", "employer renamed"]
        assert [entry.about for entry in entries] == [
            of | {"crew": cast.crew.pk, "site": None}, of | {"site": depot.pk}, of,
        ]  # fmt: skip
        for by, act, of in (
            (nora, operations.rename_employer, {"employer": cast.northmoor}),
            (cast.sol, operations.rename_crew, {"crew": cast.crew}),
            (cast.sol, operations.rename_site, {"site": depot}),
        ):
            with pytest.raises(operations.NotTheirs):
                act(by=by, name="Other", **of, **self.NOW)

    def test_of_the_same_letters_is_no_act(self, cast: Cast) -> None:
        """Nothing is written down for a press that changes nothing."""
        operations.rename_crew(by=cast.max, crew=cast.crew, name="Gang 1", **self.NOW)
        assert not Entry.objects.exists()

    def test_leaves_the_address_and_what_was_issued(self, cast: Cast) -> None:
        """What others have noted down goes on leading here; a card says by whom it was issued on its day."""
        made = card(cast, cast.ada, on=ON)
        for employer, name in ((cast.body, "Bonding Board"), (cast.northmoor, "Moor Track")):
            operations.rename_employer(by=cast.max, employer=employer, name=name, **self.NOW)
        assert Employer.objects.filter(slug="body", name="Bonding Board").exists()
        shown = face(Card.objects.get(pk=made.pk), on=ON)
        assert (shown.issuer, shown.employer) == ("Certification body", "Moor Track")

    @pytest.mark.parametrize(
        ("kind", "name", "says"),
        [
            ("crews", "Gang 2", "already has a crew of that name"),
            ("sites", "Yard", "already has a site of that name"),
            ("employers", "Elsewhere Lines", "There is an employer of that name already."),
            ("crews", "  ", "Give the name."),
            ("employers", "", "Give the name."),
        ],
    )
    def test_is_checked_as_a_first_one(self, cast: Cast, kind: str, name: str, says: str) -> None:
        """The heading goes on saying which one it is, and what was typed stays."""
        Crew.objects.create(employer=cast.northmoor, name="Gang 2")
        depot, _yard = (Site.objects.create(employer=cast.northmoor, name=one) for one in ("Depot", "Yard"))
        place = {"crews": cast.crew, "sites": depot, "employers": cast.northmoor}[kind]
        body = page(cast.client("max").post(f"/people/{kind}/{place.pk}/", {"act": "rename", "name": name}))
        assert body.count(says) == 2  # in the summary and beside the field
        assert f"<h1>{place.name}</h1>" in body
        assert f'value="{name}"' in body or not name.strip()

    def test_page_is_filled_in_and_says_what_follows(self, cast: Cast, nora: Person) -> None:
        """An administrator of an employer renames its crews, not the employer, and nobody else's."""
        client = Client()
        client.force_login(nora)
        body = page(client.get(f"/people/crews/{cast.crew.pk}/"))
        assert 'value="Gang 1"' in body and "A file with the old name is refused" in body
        kept = client.post(f"/people/crews/{cast.crew.pk}/", {"act": "rename", "name": " Moor gang "}, follow=True)
        assert "The new name is kept." in page(kept) and ">Moor gang</a>" in kept.text
        assert f"/people/employers/{cast.northmoor.pk}/" not in kept.text
        assert client.get(f"/people/employers/{cast.northmoor.pk}/").status_code == 403
        other = Crew.objects.create(employer=cast.elsewhere, name="Gang 9")
        assert client.get(f"/people/crews/{other.pk}/").status_code == 404


@pytest.mark.django_db
class TestOutOfUse:
    NOW: ClassVar = {"on": ON, "at": AT}
    OUT: ClassVar = {"act": "use", "used": "false"}

    def empty(self, cast: Cast) -> None:
        """Let Ada leave the crew, from yesterday on."""
        row = cast.ada.crew_memberships.get()
        last = ON - timedelta(days=1)
        operations.leave_crew(by=cast.max, person=cast.ada, membership=row, until_on=last, **self.NOW)

    def test_waits_until_nobody_is_in_it(self, cast: Cast, nora: Person) -> None:
        """The page names them, and offers no button that would be refused; a site waits for its crews."""
        depot = operations.add_site(by=nora, employer=cast.northmoor, name="Depot", **self.NOW)
        operations.place_crew(by=nora, crew=cast.crew, site=depot, **self.NOW)
        with pytest.raises(operations.StillUsed, match="People are in this crew"):
            operations.use_crew(by=nora, crew=cast.crew, used=False, **self.NOW)
        with pytest.raises(operations.StillUsed, match="Crews in use go out"):
            operations.use_site(by=nora, site=depot, used=False, **self.NOW)
        client = cast.client("max")
        for address, says in ((f"crews/{cast.crew.pk}", "Ada Crew"), (f"sites/{depot.pk}", "Gang 1")):
            body = page(client.get(f"/people/{address}/"))
            assert f">{says}</a></li>" in body and "Put out of use" not in body
            assert "error-summary" in page(client.post(f"/people/{address}/", self.OUT))

    def test_is_offered_no_more_and_comes_back(self, cast: Cast) -> None:
        """Not where people, crews and jobs are put into it; the board goes on asking about days past."""
        depot = operations.add_site(by=cast.max, employer=cast.northmoor, name="Depot", **self.NOW)
        operations.place_crew(by=cast.max, crew=cast.crew, site=depot, **self.NOW)
        self.empty(cast)
        client, option = cast.client("max"), ">Northmoor Track: Gang 1</option>"
        asking = ("/people/add/", "/people/employers/", f"/people/{cast.ada.pk}/", "/jobs/new/")
        assert all(option in client.get(address).text for address in asking)
        for kind, pk in (("crews", cast.crew.pk), ("sites", depot.pk)):
            assert client.post(f"/people/{kind}/{pk}/", self.OUT).status_code == 302
        assert not any(option in client.get(address).text for address in asking)
        listed = page(client.get("/people/employers/"))
        assert listed.count("(out of use)") == 2 and "Northmoor Track: Depot</option>" not in listed
        assert option in client.get(f"/board/?employer={cast.northmoor.pk}").text
        back = {"act": "use", "used": "true"}
        assert "Put the site in use again first." in page(client.post(f"/people/crews/{cast.crew.pk}/", back))
        for kind, pk in (("sites", depot.pk), ("crews", cast.crew.pk)):
            assert client.post(f"/people/{kind}/{pk}/", back).status_code == 302
        acts = Entry.objects.filter(act__contains=" put ").order_by("seq").values_list("act", flat=True)
        assert list(acts) == [
            "crew put out of use", "site put out of use", "site put in use again", "crew put in use again",
        ]  # fmt: skip

    def test_takes_nobody_who_was_offered_it_before(self, cast: Cast, nora: Person) -> None:
        """The page of the one who asks may be older than the act of another."""
        depot = operations.add_site(by=nora, employer=cast.northmoor, name="Depot", **self.NOW)
        self.empty(cast)
        operations.use_crew(by=nora, crew=cast.crew, used=False, **self.NOW)
        operations.use_site(by=nora, site=depot, used=False, **self.NOW)
        join = {"person": cast.ben, "crew": cast.crew, "from_on": ON, "until_on": None}
        with pytest.raises(operations.NotUsed):
            operations.join_crew(by=nora, **join, **self.NOW)
        with pytest.raises(operations.NotUsed):
            operations.add_crew(by=nora, employer=cast.northmoor, name="Gang 9", site=depot, **self.NOW)
