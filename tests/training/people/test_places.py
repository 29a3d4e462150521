"""Employers, crews, and the beginning of a site."""

import pytest
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command

from tests.cast import AT, ON, Cast
from training.ledger.models import Entry
from training.people import operations
from training.people.models import Crew, Employer, Person
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
        sent = {"act": "add_employer", "employer-name": "New Lines", "employer-zone": "Europe/London"}
        assert client.post("/people/employers/", sent).status_code == 302
        assert Employer.objects.filter(name="New Lines").exists()

    def test_says_what_to_do_and_keeps_what_was_typed(self, cast: Cast) -> None:
        """A crew of a name that stands comes back with its sentence."""
        sent = {"act": "add_crew", "crew-employer": cast.northmoor.pk, "crew-name": "Gang 1"}
        page = cast.client("max").post("/people/employers/", sent)
        assert "already has a crew of that name" in page.text
        assert 'value="Gang 1"' in page.text

    def test_is_for_administrators(self, cast: Cast) -> None:
        """A crew member has no use for it."""
        assert cast.client("ada").get("/people/employers/").status_code == 403
