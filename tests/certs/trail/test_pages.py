"""The ledger as a page: by whom, what, when, about which record."""

from datetime import UTC, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.cast import AT, Cast
from training.ledger.operations import NOBODY, write

LEDGER = "/ledger/"


def text(cast: Cast, query: str = "", who: str = "max") -> str:
    answer = cast.client(who).get(LEDGER + query)
    assert answer.status_code == 200
    return answer.content.decode().partition("<main")[2].partition("</main>")[0]


@pytest.fixture
def written(cast: Cast) -> Cast:
    """Four acts on two days."""
    day = timedelta(days=1)
    write(by=cast.max.pk, act="person added", about={"person": cast.ada.pk, "employer": cast.northmoor.pk}, at=AT - day)
    write(by=cast.max.pk, act="role given", about={"person": cast.ben.pk, "role": "crew"}, at=AT - day)
    write(by=cast.dora.pk, act="role given", about={"person": cast.ada.pk, "role": "crew"}, at=AT)
    write(by=NOBODY, act="card key begun", about={"key": 77, "public": "ab"}, at=AT)
    return cast


class TestTheLedger:
    def test_says_who_did_what_newest_first(self, written: Cast) -> None:
        page = text(written).partition("</form>")[2]
        assert page.index("entered a key that signs cards") < page.index("added a person")
        assert "Whoever runs the machine" in page
        assert f'<a href="/records/{written.ada.pk}/">Ada Crew</a>' in page
        assert "(not there any more)" in page  # no key has that number
        assert "Northmoor Track" in page

    @pytest.mark.parametrize(
        ("query", "holds", "holds_not"),
        [
            ("?act=role+given", "gave a role", "added a person<"),
            ("?person=dora+dec", "Dora Decider", "Max Administrator<"),
            ("?person=dora", "Dora Decider", "Max Administrator<"),
            ("?first=2026-11-25", "Dora Decider", "Max Administrator<"),
            ("?last=2026-11-24", "Max Administrator", "Dora Decider<"),
            ("?kind=key", "entered a key", "Dora Decider<"),
            ("?person=999999", "No entry answers to this", "Dora Decider<"),
            ("?person=%E2%82%AC", "No entry answers to this", "Dora Decider<"),
        ],
    )
    def test_is_narrowed_down_in_the_address(self, written: Cast, query: str, holds: str, holds_not: str) -> None:
        page = text(written, query).partition("</form>")[2]
        assert holds in page
        assert holds_not not in page

    def test_a_fingerprint_is_no_record(self, cast: Cast) -> None:
        """A signature holds the hash of its sheet under the name under which others hold a sheet."""
        write(by=cast.tess.pk, act="practical signed", about={"sheet": "ab" * 32, "person": cast.ada.pk}, at=AT)
        page = text(cast)
        assert "not there any more" not in page
        assert f'<dd class="code">{"ab" * 32}</dd>' in page

    def test_follows_one_record(self, written: Cast) -> None:
        page = text(written, f"?kind=person&record={written.ben.pk}")
        assert "Ben Crew</a>" in page
        assert "Ada Crew</a>" not in page

    @pytest.mark.parametrize(
        ("query", "sentence"),
        [
            ("?first=soon", "Give the day as 2026-11-30"),
            ("?first=2026-11-25&last=2026-11-24", "not before the first"),
            ("?record=5", "Choose what kind of record"),
            ("?kind=nothing&record=5", "Choose one of the kinds"),
            ("?before=x", "Enter a whole number"),
        ],
    )
    def test_says_what_is_wrong_with_the_address(self, written: Cast, query: str, sentence: str) -> None:
        assert sentence in text(written, query)

    def test_is_turned_by_the_last_number(self, cast: Cast) -> None:
        for number in range(120):
            write(by=cast.max.pk, act="role given", about={"person": cast.ada.pk, "n": number}, at=datetime.now(UTC))
        assert "?act=role+given&amp;before=71" in text(cast, "?act=role+given")
        assert "before=21" in text(cast, "?act=role+given&before=71")
        last = text(cast, "?before=21")
        assert "Older entries" not in last
        assert "What entry 1 holds" in last

    @pytest.mark.parametrize("who", ["ada", "sol", "tess"])
    def test_is_for_administrators_of_the_body(self, cast: Cast, who: str) -> None:
        assert cast.client(who).get(LEDGER).status_code == 403

    def test_asks_as_often_for_many_as_for_few(self, written: Cast) -> None:
        text(written)  # what is read once a process is read
        with CaptureQueriesContext(connection) as few:
            text(written)
        for _ in range(40):
            write(by=written.max.pk, act="role given", about={"person": written.ada.pk}, at=AT)
        with CaptureQueriesContext(connection) as many:
            text(written)
        assert len(many) == len(few)
