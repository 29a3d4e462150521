"""Erasing a person: nothing names them any more, anywhere, and the ledger is whole as before."""

from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import pytest
from django.apps import apps
from django.contrib.sessions.models import Session
from django.db import connection, models
from django.test import Client
from django.utils import timezone

from certs.cards.models import Card
from certs.cards.operations import measure
from certs.cards.rules import Step
from certs.management.replay import Company
from certs.retention import operations, queries
from tests import company as demo
from training.keeping.operations import guard, loosen
from training.ledger.models import Entry
from training.ledger.queries import fault, head
from training.people import operations as people
from training.people.models import Person

LATER = timedelta(days=366 * 9)


@pytest.fixture
def company(transactional_db: None) -> Iterator[Company]:
    """The demo company, with the guards up as on a real site."""
    made = demo.make(timezone.now())
    guard()
    yield made
    loosen()


def columns() -> Iterator[tuple[str, str]]:
    """Yield every column that can hold text, of every table of the database, whoever made it."""
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names(cursor):
            cursor.execute(f'SELECT * FROM "{table}" LIMIT 0')  # noqa: S608
            for column in cursor.description:
                yield table, column[0]


def places(*texts: str) -> list[str]:
    """Return the columns in which one of these texts stands."""
    found = []
    with connection.cursor() as cursor:
        for table, column in columns():
            for text in texts:
                cursor.execute(
                    f'SELECT COUNT(*) FROM "{table}" WHERE LOWER(CAST("{column}" AS TEXT)) LIKE %s',  # noqa: S608
                    [f"%{text.lower()}%"],
                )
                if cursor.fetchone()[0]:
                    found.append(f"{table}.{column}: {text}")
    return found


def leave(company: Company, username: str) -> Person:
    """Close an account as the administrator, and withdraw every card in force."""
    person, nadia, now = company.people[username], company.people["nadia"], timezone.now()
    for card in Card.objects.filter(person=person, closed_at=None, last_day__gte=now.date()):
        facts = {"by": nadia, "reason": f"{person.name} has left the trade.", "on": now.date(), "at": now}
        measure(card=card, step=Step.WITHDRAWN, **facts)
    return people.close_account(by=nadia, person=person, on=now.date(), at=now)


def erase(company: Company, person: Person, reference: str = "Letter 12/2026") -> None:
    now = timezone.now()
    operations.erase(person=person, by=company.people["nadia"], reference=reference, on=now.date(), at=now)


@pytest.mark.both
class TestErasing:
    def test_leaves_no_name_in_any_column(self, company: Company) -> None:
        person = company.people["moira"]
        Client().force_login(person)
        assert Session.objects.exists()
        person, now = leave(company, "moira"), timezone.now()
        another = Card.objects.get(person=company.people["yara"], closed_at=None)
        facts = {"by": company.people["nadia"], "on": now.date(), "at": now}
        measure(card=another, step=Step.SUSPENDED, reason=f"Was taken for {person.name}.", **facts)
        name, username, email = person.name, person.username, person.email
        assert places(name)  # on the account, on the card, in the reason
        before = {model: model._base_manager.count() for model in apps.get_models() if model.__name__ in STAY}
        last = head()
        erase(company, person)
        assert places(name, email or name, username) == []
        assert not Session.objects.exists()
        assert {model: model._base_manager.count() for model in before} == before
        assert fault(last) == ""
        assert Entry.objects.filter(act="person erased").get().about == {
            "person": person.pk,
            "ground": "Letter 12/2026",
        }
        assert queries.is_erased(person)

    def test_keeps_what_is_left_readable(self, company: Company) -> None:
        """Every page on which the person stood is shown, under the number."""
        person = leave(company, "moira")
        sheets = [f"/signoffs/{one.pk}/" for one in person.signoffs.all()]
        sheets += [f"/signoffs/sheets/{one.pk}/" for one in person.sheets.all()]
        cards = list(Card.objects.filter(person=person).values_list("number", flat=True))
        erase(company, person)
        client = Client()
        client.force_login(company.people["nadia"])
        for page in [f"/records/{person.pk}/", f"/people/{person.pk}/", *sheets, *(f"/cards/{one}/" for one in cards)]:
            answer = client.get(page)
            assert answer.status_code == 200, page
            assert f"Person {person.pk}" in answer.text or page.startswith("/signoffs/"), page
        for number in cards:
            answer = client.get(f"/cards/{number}.pdf")
            assert (answer.status_code, answer["Content-Type"]) != (200, "application/pdf")

    def test_leaves_another_of_the_same_name_alone(self, company: Company) -> None:
        person, other = leave(company, "moira"), company.people["yara"]
        other.name = person.name
        other.save()
        Card.objects.filter(person=other).update(holder_name=person.name)
        erase(company, person)
        names = dict(Card.objects.filter(person__in=[person, other]).values_list("person", "holder_name"))
        assert names == {person.pk: f"Person {person.pk}", other.pk: other.name}
        assert Person.objects.get(pk=other.pk).name == other.name

    def test_is_refused_with_what_stands_against_it(self, company: Company) -> None:
        with pytest.raises(operations.NotErased) as refused:
            erase(company, company.people["moira"])
        said = " ".join(refused.value.messages)
        assert "The account is open. Close it first." in said
        assert "is in force until" in said
        assert places(company.people["moira"].name)

    def test_before_the_term_needs_a_reference_without_a_name(self, company: Company) -> None:
        person = leave(company, "moira")
        for reference, sentence in (
            ("", "The term is not over"),
            (f"mail of {person.name}", "does not name the person"),
        ):
            with pytest.raises(operations.NotErased, match=sentence):
                erase(company, person, reference)
        erase(company, person)
        with pytest.raises(operations.NotErased, match="erased already"):
            erase(company, person)

    def test_nobody_goes_while_cards_rest_on_their_signature(self, company: Company) -> None:
        said = queries.against(company.people["iver"], on=timezone.now().date(), at=timezone.now())
        assert any("rest on what this person signed" in sentence for sentence in said)

    def test_a_purge_shows_first_and_erases_later(self, company: Company) -> None:
        person, now = leave(company, "moira"), timezone.now()
        assert [one.pk for one in queries.people_over(at=now)] == []
        later = now + LATER
        rows = Entry.objects.count()
        assert queries.summary(at=later)[-1] == "people whose names are erased: 1"
        assert Entry.objects.count() == rows
        counts = operations.purge(at=later)
        assert counts["people"] == 1
        assert Entry.objects.order_by("-seq").first().act == "records purged"  # type: ignore[union-attr]
        assert fault() == ""
        assert places(person.name) == []
        assert operations.purge(at=later)["people"] == 0


STAY = {
    "Card",
    "Signoff",
    "Sitting",
    "Answer",
    "PartMark",
    "ReceivedSheet",
    "TestBond",
    "Measure",
    "Signature",
    "Person",
}


class TestTheLedger:
    @pytest.mark.django_db
    def test_names_nobody(self) -> None:
        """No name, user name, mail or number of anybody in the demo stands in any entry."""
        demo.make(timezone.now())
        entries: list[Any] = list(Entry.objects.values_list("about", flat=True))
        text = str(entries).casefold()
        for person in Person.objects.all():
            for name in {person.name, *person.name.split(), person.email} - {""}:
                assert name.casefold() not in text, name


class TestEveryTable:
    def test_about_people_is_on_the_page_or_names_nobody(self) -> None:
        """A new table with a person in it is put among what is held, or listed here: who acted, not who it is about."""
        subjects = {"person", "candidate"}
        about = {
            model.__name__
            for model in apps.get_models()
            if model._meta.app_label in {"training", "certs"}
            for field in model._meta.concrete_fields
            if isinstance(field, models.ForeignKey) and field.related_model is Person and field.name in subjects
        }
        shown = {table.model.__name__ for found in queries.rows_of(Person(pk=0)).values() for table in found}
        assert about - shown == {"Admission", "PanelJudge", "PlanTurn", "SecondMarking", "VisitStep", "WorkDone"}
