"""What a password must be.

SP 800-63B-4 (2025), 3.1.1.2: 15 letters alone, spaces and any script taken, no rule of composition, context words
refused. How hard one is to guess: zxcvbn (Wheeler, USENIX Security 2016), 3 of 4 being 'safely unguessable'.
"""

import pytest
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError

from tests.cast import PASSWORD, Cast
from tests.training.reply import page
from training.people.models import Person

TWELVE = [
    ("seven grey herons", True),  # small letters and spaces are enough
    ("мост лошадь синий чайник", True),  # any script
    ("四つ葉のクローバーを探して歩いた日", True),  # 17 letters, 51 bytes
    ("heron " * 3 + "7 grey gates " * 77, True),  # 1,019 bytes, and zxcvbn alone would refuse to look at it
    ("é" * 3 + "quiet lamps drift over 9 hills", True),
    ("Xq7!Xq7!Xq7", False),  # eleven, however mixed
    ("fourteen letter"[:14], False),
    ("iloveyouiloveyou", False),  # long and common
    ("passwordpassword", False),
    ("rail bond pin brazing", False),  # the words of the site
    ("Ada Crew ada crew", False),  # the name of the person
    ("z" + "0123456789" * 103, False),  # 1,031 bytes
]


class TestTwelve:
    @pytest.mark.parametrize(("password", "taken"), TWELVE)
    def test_are_taken_or_refused(self, cast: Cast, password: str, taken: bool) -> None:
        if taken:
            validate_password(password, cast.ada)
        else:
            with pytest.raises(ValidationError) as refused:
                validate_password(password, cast.ada)
            assert all(len(sentence) > 20 for sentence in refused.value.messages)

    def test_there_are_twelve(self) -> None:
        assert len(TWELVE) == 12
        assert len(TWELVE[3][0].encode()) <= 1024 < len(TWELVE[-1][0])


class TestForms:
    def test_no_field_stops_a_paste_or_cuts_what_is_typed(self, cast: Cast) -> None:
        body = cast.client("ada").get("/account/password/change/").text
        assert "onpaste" not in body
        assert 'maxlength="' not in body.split('type="password"', 1)[1].split("<footer")[0]

    def test_the_same_letters_from_another_keyboard_are_the_same_password(self, cast: Cast) -> None:
        """Canonical equivalence, Unicode Standard Annex 15: e with acute as one code point and as two."""
        cast.ada.set_password("caf\u00e9 behind seven gates")
        cast.ada.save()
        assert Person.objects.get(pk=cast.ada.pk).check_password("cafe\u0301 behind seven gates")
        assert not cast.ada.check_password("cafe behind seven gates")


@pytest.mark.django_db
class TestChangePage:
    URL = "/account/password/change/"

    def test_asks_in_plain_words_and_leads_back(self, cast: Cast) -> None:
        client = cast.client("ada")
        body = page(client.get(self.URL))
        for label in ("Password you have now", "New password", "New password once more"):
            assert f"\n                {label}<" in body
        assert "commonly used" not in body
        assert 'href="/account/factor/"' in body
        body = page(client.post(self.URL, {"oldpassword": PASSWORD, "password1": "", "password2": ""}))
        assert "Type a new password." in body
        assert "Type the new password once more." in body
        assert "This field is required" not in body
