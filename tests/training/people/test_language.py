"""The language of cards and mails: one's own choice, or an administrator's for somebody."""

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.urls import reverse

from tests.cast import AT, ON, Cast
from training.people import operations
from training.people.models import Person


def language(person: Person) -> str:
    return Person.objects.values_list("language", flat=True).get(pk=person.pk)


class TestOwn:
    def test_is_chosen_and_taken_back(self, cast: Cast) -> None:
        """The page shows the choice; the pages themselves stay English."""
        client, url = cast.client("ada"), reverse("people:own")
        for chosen in ("es", "fr", ""):
            assert client.post(url, {"language": chosen}).status_code == 302
            assert language(cast.ada) == chosen
            page = client.get(url).text
            assert f'<option value="{chosen}" selected>' in page
            assert '<html lang="en">' in page

    def test_is_one_of_the_list(self, cast: Cast) -> None:
        """Beside the field; the database holds it as well."""
        answer = cast.client("ada").post(reverse("people:own"), {"language": "tlh"})
        assert "Choose one of the languages in the list." in answer.text
        assert "<title>Error:" in answer.text
        cast.ada.language = "tlh"
        with pytest.raises(ValidationError, match="Choose one of the languages in the list"):
            cast.ada.validate_constraints()
        with pytest.raises(IntegrityError), transaction.atomic():
            cast.ada.save()
        assert language(cast.ada) == ""


class TestOfAnother:
    def test_is_set_by_an_administrator(self, cast: Cast) -> None:
        """On the page of the account."""
        url = reverse("people:person", args=[cast.ada.pk])
        answer = cast.client("max").post(url, {"act": "language", "language-language": "fr"})
        assert answer.status_code == 302
        assert language(cast.ada) == "fr"

    @pytest.mark.parametrize("name", ["ben", "sol", "quin", "rex"])
    def test_is_not_set_by_others(self, cast: Cast, name: str) -> None:
        """By the rule of every account."""
        with pytest.raises(operations.NotTheirs):
            operations.choose_language(by=getattr(cast, name), person=cast.ada, language="es", on=ON, at=AT)
        assert language(cast.ada) == ""
