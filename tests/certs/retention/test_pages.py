"""What is held on oneself, the copy, the page on which a person is erased, and the command."""

import json
from datetime import date, timedelta
from io import StringIO

import pytest
from axes.models import AccessFailureLog
from django.core.management import call_command
from django.utils import timezone

from certs.retention.queries import KIND_WORDS, WHY_WORDS
from certs.retention.queries.held import facts_of
from certs.retention.rules import NO_CARD_MONTHS, TERMS, Kind, term_over
from tests.cast import AT, Cast
from training.ledger.models import Entry
from training.ledger.operations import write
from training.people.models import Person
from training.quizzes.models import Sitting


class TestTheTerms:
    def test_each_kind_has_term_words_and_reason(self) -> None:
        assert set(TERMS) == set(KIND_WORDS) == set(WHY_WORDS) == set(Kind)

    def test_evidence_stays_a_cycle_past_the_last_day(self) -> None:
        """The longest of all cards counts (ISO/IEC 17024:2012, 7.1, from memory: a full cycle at least)."""
        cards = [(date(2026, 1, 31), 36), (date(2027, 1, 31), 6)]
        assert term_over(cards, date(2026, 6, 1)) == date(2029, 1, 31)
        assert term_over([], date(2026, 2, 28)) == date(2026 + NO_CARD_MONTHS // 12, 2, 28)
        assert term_over([], None) is None


class TestWhatIsHeld:
    def test_says_what_how_long_why_and_who_acted(self, cast: Cast) -> None:
        write(by=cast.sol.pk, act="crew joined", about={"person": cast.ada.pk, "crew": cast.crew.pk}, at=AT)
        write(by=cast.sol.pk, act="crew left", about={"person": cast.ben.pk, "crew": cast.crew.pk}, at=AT)
        page = cast.client("ada").get("/held/").text
        assert "Photos of bonds at the track" in page
        assert "3 years" in page
        assert "Sol Supervisor put a person in a crew" in page
        assert "set the last day of a person in a crew" not in page
        assert "Ben Crew" not in page

    def test_a_copy_holds_ones_own_and_no_secret(self, cast: Cast) -> None:
        answer = cast.client("ada").get("/held/copy.json")
        made = json.loads(answer.content)
        assert answer["Content-Disposition"] == 'attachment; filename="held.json"'
        assert made["person"]["name"] == "Ada Crew"
        assert [row["person_id"] for row in made["account"]["crew memberships"]] == [cast.ada.pk]
        assert "Ben" not in answer.text
        assert not {"password", "folded"} & set(made["person"])
        assert "seed" not in facts_of([Sitting(seed="f00d")])[0]


class TestErasing:
    def test_page_says_what_stands_against_it(self, cast: Cast) -> None:
        page = cast.client("max").get(f"/held/{cast.ben.pk}/erase/").text
        assert "The account is open. Close it first." in page
        assert "Erase</button>" not in page

    def test_page_erases_once_ticked(self, cast: Cast) -> None:
        Person.objects.filter(pk=cast.ben.pk).update(is_active=False)
        client, page = cast.client("max"), f"/held/{cast.ben.pk}/erase/"
        assert "what is erased does not come back" in client.post(page, {"reference": ""}).text
        assert client.post(page, {"reference": "", "sure": "on"}).status_code == 302
        assert Person.objects.get(pk=cast.ben.pk).name == f"Person {cast.ben.pk}"
        assert "erased already" in client.get(page).text

    @pytest.mark.parametrize("who", ["ada", "sol", "tess"])
    def test_is_for_administrators_of_the_body(self, cast: Cast, who: str) -> None:
        assert cast.client(who).get(f"/held/{cast.ben.pk}/erase/").status_code == 403


class TestPurge:
    def test_counts_first_and_deletes_when_told(self, cast: Cast) -> None:
        old = timezone.now() - timedelta(days=TERMS[Kind.TRIES].days + 1)  # type: ignore[operator]
        for moment in (old, timezone.now()):
            row = AccessFailureLog.objects.create(username="ada", ip_address="192.0.2.1")
            AccessFailureLog.objects.filter(pk=row.pk).update(attempt_time=moment)
        said = StringIO()
        call_command("purge", stdout=said)
        assert f"tries to sign in: 1, the oldest of {old:%Y-%m-%d}" in said.getvalue()
        assert AccessFailureLog.objects.count() == 2
        call_command("purge", "--apply", stdout=said)
        assert "tries to sign in: 1 gone" in said.getvalue()
        assert AccessFailureLog.objects.count() == 1
        assert Entry.objects.get().about == {"tries to sign in": 1}
        call_command("purge", "--apply", stdout=StringIO())
        assert Entry.objects.count() == 1
