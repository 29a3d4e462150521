"""What an administrator sees: the file refused with what to do, what will happen, what was done."""

import csv
import io
import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.cast import Cast, person
from training.people.models import Crew, Person
from training.people.rules import Role
from training.rosters.models import Roster
from training.tables.code import read

INDEX = "/people/rosters/"


def send(client: Client, cast: Cast, data: bytes, *, name: str = "roster.csv", missing: str = "some"):
    facts = {"employer": cast.northmoor.pk, "missing": missing}
    return client.post(INDEX, facts | {"file": SimpleUploadedFile(name, data)})


def follow(client: Client, cast: Cast, *lines: str, missing: str = "some") -> tuple[Roster, str]:
    answer = send(client, cast, "\n".join(lines).encode(), missing=missing)
    assert answer.status_code == 302, answer.text
    return Roster.objects.get(), client.get(answer.url).text


def tokens_missing(text: str) -> int:
    """Forms that post and carry no token against forged requests."""
    forms = [form for form in text.split("<form")[1:] if 'method="post"' in form.split(">")[0]]
    return sum("csrfmiddlewaretoken" not in form.split("</form>")[0] for form in forms)


def seen(text: str) -> str:
    return re.search(r'name="seen" value="(\w{64})"', text)[1]


class TestBring:
    @pytest.mark.parametrize(
        ("data", "says"),
        [
            (b"Name\nZo\xeb\n", "From line 2 on the letters cannot be read: the file is not in UTF-8."),
            (b"N\0a\0m\0e\0", "Line 1 holds bytes that are no letters."),
            (b'Name\n"Ada', "From line 2 on a quotation mark is open"),
            (b"Crew\nGang 1", "The first line has no head “Name”."),
            (b"Name,Full name\n", "Two columns are called “Full name”."),
            (b"PK\x03\x04", "The file is damaged or is no spreadsheet. In the spreadsheet program choose Save as"),
            (b"a" * 5_000_001, "The file is too big."),
            (b" \n", "The file is empty."),
            (b"", "The file is empty."),
        ],
    )
    def test_says_why_a_file_is_not_read(self, cast: Cast, data: bytes, says: str) -> None:
        """Beside the field; the employer chosen stays chosen."""
        answer = send(cast.client("max"), cast, data)
        assert answer.status_code == 200
        assert says in answer.context["form"].errors["file"][0]
        assert f'<option value="{cast.northmoor.pk}" selected>' in answer.text
        assert not Roster.objects.exists()

    def test_asks_for_a_file_and_an_employer(self, cast: Cast) -> None:
        form = cast.client("max").post(INDEX).context["form"]
        assert set(form.errors) == {"employer", "file", "missing"}

    def test_is_for_ones_own_employer(self, cast: Cast) -> None:
        """An administrator of an employer chooses no other, and sees no roster of another."""
        follow(cast.client("max"), cast, "Name", "Una")
        client = Client()
        client.force_login(person("nora", "Nora", cast.elsewhere, Role.ADMINISTRATOR))
        assert "Choose one in the list." in send(client, cast, b"Name\nUna").context["form"].errors["employer"]
        address = reverse("rosters:roster", args=[Roster.objects.get().pk])
        assert client.get(address).status_code == 404
        for act in ("answers", "apply", "undo", "drop"):
            assert client.post(f"{address}{act}/").status_code == 404
        assert client.get(f"{INDEX}present/?employer=northmoor&kind=csv").status_code == 404
        assert client.get(f"{INDEX}present/?employer=elsewhere&kind=csv").status_code == 200


class TestLookOver:
    def test_names_every_wrong_line(self, cast: Cast) -> None:
        _roster, text = follow(
            cast.client("max"), cast, "Name,Crew,Shoe size", "Una,Gang 9,41", "=1+1,,", "Ida,Gang 1,"
        )
        assert "Nothing has changed yet. 2 things have to be put right first." in text
        for says in (
            "Line 2",
            "There is no crew “Gang 9”",
            "Line 3",
            "Take the sign = away",
            "read: Shoe size.",
            "Ida",
        ):
            assert says in text
        assert "/apply/" not in text
        assert tokens_missing(text) == 0
        assert tokens_missing(cast.client("max").get(INDEX).text) == 0

    def test_shows_all_that_will_happen(self, cast: Cast) -> None:
        Crew.objects.create(employer=cast.northmoor, name="Gang 2")
        lines = ["Name,Crew,E-mail", "Una New,Gang 1,", "Ada Crew,Gang 2,new@example.org"]
        _roster, text = follow(cast.client("max"), cast, *lines, missing="everyone")
        for says in (
            "user name u.new; into Gang 1",
            "E-mail: ada@example.org becomes new@example.org; into Gang 2; last day in Gang 1:",
            "account closed",
            "not in the file",
            "Sol Supervisor",  # left alone
            "People who are not in the file: 1.",
        ):
            assert says in text

    def test_says_when_nothing_changes(self, cast: Cast) -> None:
        _roster, text = follow(cast.client("max"), cast, "Name", "Ada Crew")
        assert "This file changes nothing" in text

    def test_asks_and_takes_the_answer(self, cast: Cast) -> None:
        roster, text = follow(cast.client("max"), cast, "Name", "Ädä Crew")
        assert "is much like somebody on record" in text
        address = reverse("rosters:answers", args=[roster.pk])
        wrong = cast.client("max").post(address, {"line_2": "x"})
        assert (wrong.status_code, "Choose one of the answers." in wrong.text) == (200, True)
        text = cast.client("max").post(address, {"line_2": "0"}, follow=True).text
        assert "Apply 1 change" in text

    def test_asks_of_a_name_that_stands_twice(self, cast: Cast) -> None:
        """No number is no wrong number; while a line is wrong, what will be asked is announced."""
        lines = ["Name,Number,E-mail", "Ada Crew,,", "Ada Crew,N-9,"]
        _roster, text = follow(cast.client("max"), cast, *lines)
        assert "“Ada Crew” is on record. Is it the same person?" in text
        assert "somebody of another name" not in text
        _roster, text = follow(cast.client("max"), cast, *lines, "Una New,,nowhere")
        assert "you are asked when the file is right." in text


class TestApplyAndUndo:
    def test_are_one_press_each(self, cast: Cast) -> None:
        client = cast.client("max")
        roster, text = follow(client, cast, "Name", "Una New", missing="everyone")
        address = reverse("rosters:roster", args=[roster.pk])
        asked = client.post(f"{address}apply/", {"seen": seen(text)})
        assert "Confirm that the people who are not in the file leave." in asked.text
        text = client.post(f"{address}apply/", {"seen": seen(text), "missing": "on"}, follow=True).text
        assert "The roster is applied." in text
        assert "Una New" in client.get(f"{INDEX}without-sign-in/").text
        assert "applied, 3 changes" in client.get(INDEX).text
        for act in ("apply", "answers"):
            assert client.post(f"{address}{act}/").status_code == 302
        text = client.post(f"{address}undo/", follow=True).text
        assert "everything is as it was before" in text
        assert not Person.objects.filter(name="Una New").exists()
        assert "Nothing was undone" in client.post(f"{address}undo/", follow=True).text

    def test_say_why_not(self, cast: Cast) -> None:
        client = cast.client("max")
        roster, text = follow(client, cast, "Name", "Una New")
        address = reverse("rosters:roster", args=[roster.pk])
        assert "look it over again" in client.post(f"{address}apply/", {"seen": "0" * 64}, follow=True).text.lower()
        client.post(f"{address}apply/", {"seen": seen(text)})
        Person.objects.filter(name="Una New").update(email="x@example.org")
        text = client.post(f"{address}undo/", follow=True).text
        assert "It cannot be undone" in text
        assert "was changed since" in text

    def test_may_be_dropped(self, cast: Cast) -> None:
        roster, _text = follow(cast.client("max"), cast, "Name", "Una New")
        text = cast.client("max").post(reverse("rosters:drop", args=[roster.pk]), follow=True).text
        assert "Nothing was changed" in text
        assert not Roster.objects.exists()


class TestFiles:
    @pytest.mark.parametrize("kind", ["csv", "xlsx"])
    @pytest.mark.parametrize("what", ["empty.{}", "present/?employer=northmoor&kind={}"])
    def test_come_back_in(self, cast: Cast, kind: str, what: str) -> None:
        answer = cast.client("max").get(INDEX + what.format(kind))
        data = b"".join(answer.streaming_content)
        names = [row.cells[1] for row in read(data)]
        assert names == ["Name"] + (["Ada Crew", "Ben Crew", "Sol Supervisor"] if "present" in what else [])

    @pytest.mark.parametrize("what", ["empty.pdf", "present/", "present/?employer=northmoor&kind=pdf"])
    def test_are_of_two_kinds(self, cast: Cast, what: str) -> None:
        assert cast.client("max").get(INDEX + what).status_code == 404


class TestAnything:
    @given(
        st.one_of(
            st.binary(max_size=300), st.text(st.characters()).map(lambda text: text.encode("utf-16", "surrogatepass"))
        )
    )
    @settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=50)
    def test_is_answered(self, cast: Cast, data: bytes) -> None:
        """Any bytes at all: a page, never a fault."""
        before = Person.objects.count()
        for sent in (data, b"Name\n" + data, b"PK\x03\x04" + data):
            answer = send(cast.client("max"), cast, sent)
            assert answer.status_code in (200, 302)
            if answer.status_code == 302:
                assert cast.client("max").get(answer.url).status_code == 200
        assert Person.objects.count() == before

    @given(st.lists(st.lists(st.text(st.characters(exclude_categories=["Cs"])), max_size=7), max_size=5))
    @settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=50)
    def test_in_the_cells_is_shown(self, cast: Cast, rows: list[list[str]]) -> None:
        file = io.StringIO(newline="")
        csv.writer(file).writerows([["Number", "Name", "User name", "E-mail", "Crew", "Site", "Last day"], *rows])
        answer = send(cast.client("max"), cast, file.getvalue().encode(), missing="everyone")
        assert answer.status_code in (200, 302)
        if answer.status_code == 302:
            assert cast.client("max").get(answer.url).status_code == 200
