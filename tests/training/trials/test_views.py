"""The page over HTTP."""

import re
from urllib.parse import quote

import pytest
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.cast import Cast
from tests.training.reply import page
from training.trials.forms import TrialForm


def get(cast: Cast, query: str = "", name: str = "ada") -> str:
    """The page of an address, which has proved to be sound HTML."""
    return page(cast.client(name).get(f"{reverse('trials:bench')}?{query}"))


class TestWhoMayRead:
    @pytest.mark.parametrize("name", ["ada", "sol", "tess", "olga", "max", "quin"])
    def test_everyone_signed_in(self, cast: Cast, name: str) -> None:
        """Learners and trainers alike."""
        assert "Try the numbers" in get(cast, name=name)

    def test_nobody_else(self, cast: Cast) -> None:
        """Others are asked to sign in."""
        assert cast.client("nobody").get(reverse("trials:bench")).status_code == 302

    def test_only_by_reading(self, cast: Cast) -> None:
        """There is nothing to send."""
        assert cast.client("ada").post(reverse("trials:bench")).status_code == 405


class TestPage:
    def test_address_holds_the_view(self, cast: Cast) -> None:
        """The form is sent by GET and comes back as typed."""
        body = get(cast, "cell_temperature=%E2%88%9212%2C5&leads=off")
        assert '<form method="get"' in body
        assert 'value="\u221212,5"' in body
        assert '<option value="off" selected>' in body

    def test_refused_value_is_answered_beside_its_field(self, cast: Cast) -> None:
        """A summary with a link that has a target, the sentence, what was typed, and everything else."""
        body = get(cast, "rest_voltage=full&earth_resistance=25")
        assert "<title>Error:" in body
        assert 'href="#id_rest_voltage"' in body
        assert 'value="full"' in body
        assert 'id="id_rest_voltage_error"' in body
        assert "Pack voltage: not judged" in body
        assert "Starting values stand in" in body
        assert "214\u00a0A" in body

    def test_pictures_can_be_heard(self, cast: Cast) -> None:
        """Each has a role, a title and a description of its own, and a table with a caption."""
        body = get(cast)
        pictures = re.findall(r"<svg class=\"trial-lines\".*?</svg>", body, re.S)
        assert len(pictures) == 2
        for picture in pictures:
            named = re.search(r'role="img" aria-labelledby="(\S+) (\S+)"', picture)
            assert named
            title = re.search(rf'<title id="{named[1]}">(.+?)</title>', picture)
            desc = re.search(rf'<desc id="{named[2]}">(.+?)</desc>', picture)
            assert title
            assert desc
            assert len(desc[1]) > len(title[1]) > 10
            assert "<text" not in picture
        assert body.count("Figures of the picture</caption>") == 2

    def test_is_styled_by_names_alone(self, cast: Cast) -> None:
        """No style attribute, no script, no colour in a picture; every id stands once."""
        body = get(cast, "rest_voltage=full&lead_area=36")
        main = body[body.index("<main") : body.index("</main>")]
        assert not re.search(r"\sstyle=|<script|\sfill=|\sstroke=", main)
        ids = re.findall(r'\sid="([^"]+)"', body)
        assert len(ids) == len(set(ids))

    def test_says_what_it_leaves_out(self, cast: Cast) -> None:
        """And that local codes come first."""
        body = get(cast)
        for words in (
            "What this leaves out",
            "one small cell of one type",
            "real fuse wire are not known",
            "local codes",
        ):
            assert words in body


TYPED = st.text(max_size=40) | st.sampled_from(["", "\0", "\ud800", "\udfff9", "<b>", "9" * 5000, "1e30", "-0"])
SENT = st.lists(st.tuples(st.sampled_from([*TrialForm.base_fields, "other", "\ud800"]), TYPED), max_size=12)


class TestHostile:
    @settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
    @given(SENT)
    def test_no_address_breaks_the_page(self, cast: Cast, sent: list[tuple[str, str]]) -> None:
        """Halves of characters, nulls, markup, endless digits: a sound page answers."""
        get(
            cast,
            "&".join(
                f"{quote(name, errors='surrogatepass')}={quote(value, errors='surrogatepass')}" for name, value in sent
            ),
        )
