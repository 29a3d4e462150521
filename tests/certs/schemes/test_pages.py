"""The pages of the room, through the client."""

import re
from datetime import date, timedelta

import pytest
from django.urls import reverse

from certs.schemes.models import Authority, SchemeIssue, TrainingAct
from certs.schemes.operations import load
from certs.schemes.queries import current_issue
from certs.schemes.rules import Act
from tests.cast import AT, ON
from tests.certs.factory import scheme_spec
from training.content.practicals import CheckSpec
from training.content.schemes import Decided, LastDay, Unconfirmed

CHECK = CheckSpec(module="setup", slug="pack", step="setup.pack", text="Meters", good="so", critical=True, weight=2)


@pytest.fixture
def issue(cast, time_machine) -> SchemeIssue:
    time_machine.move_to(AT, tick=False)
    other = scheme_spec(
        slug="leads",
        title="Test leads",
        decision=Decided.SEPARATE,
        last_day=LastDay.ANNIVERSARY,
        unconfirmed=Unconfirmed.WARNS,
    )
    load([scheme_spec(), other], checks=[CHECK], at=AT)
    return current_issue("bonds")


def allow(cast, issue, who, act, **days):
    dates = {"from_on": date(2026, 1, 1)} | days
    Authority.objects.create(
        person=getattr(cast, who), scheme=issue.scheme, act=act, granted_by=cast.max, granted_at=AT, **dates
    )


def page(response) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", response.content.decode()).split())


class TestScheme:
    def test_says_what_it_asks_for_with_the_source_of_the_limit(self, cast, issue):
        shown = page(cast.client("sol").get(reverse("schemes:scheme", args=["bonds"])))
        for words in ("120 µΩ", "own figure", "eve of the anniversary", "Europe/London", "Meters (must be right)",
                      "leads straight to the card", "At least 3 test bonds"):  # fmt: skip
            assert words in shown, words
        shown = page(cast.client("sol").get(reverse("schemes:scheme", args=["leads"])))
        for words in ("the anniversary itself", "carries a warning", "neither trained nor assessed"):
            assert words in shown, words

    def test_says_who_may_act_and_whether_today(self, cast, issue):
        allow(cast, issue, "olga", Act.ASSESSES)
        allow(cast, issue, "tess", Act.TRAINS, until_on=date(2026, 11, 24))
        shown = page(cast.client("sol").get(reverse("schemes:scheme", args=["bonds"])))
        assert "Olga Assessor 1 Jan 2026 further notice holds" in shown
        assert "Tess Trainer 1 Jan 2026 24 Nov 2026 does not hold" in shown

    def test_says_that_it_is_retired(self, cast, issue):
        load([scheme_spec(slug="leads", issue=2)], checks=[CHECK], at=AT)
        assert "no longer in use" in page(cast.client("sol").get(reverse("schemes:scheme", args=["bonds"])))
        assert "Bonds by pin brazing" in page(cast.client("sol").get(reverse("schemes:index")))

    @pytest.mark.parametrize(("who", "status"), [("ada", 403), ("sol", 200), ("tess", 200), ("max", 200)])
    def test_opens_for_staff(self, cast, issue, who, status):
        for url in (reverse("schemes:index"), reverse("schemes:scheme", args=["bonds"])):
            assert cast.client(who).get(url).status_code == status

    def test_is_not_there_when_it_was_never_loaded(self, cast, issue):
        assert cast.client("max").get(reverse("schemes:scheme", args=["none"])).status_code == 404

    def test_offers_what_the_viewer_may_do(self, cast, issue):
        url = reverse("schemes:scheme", args=["bonds"])
        allow(cast, issue, "tess", Act.TRAINS)
        assert "Record training given" in page(cast.client("tess").get(url))
        assert "Give a permission" in page(cast.client("max").get(url))
        assert "Give a permission" not in page(cast.client("sol").get(url))


class TestGrant:
    def test_gives_a_permission(self, cast, issue):
        sent = {"person": cast.olga.pk, "act": "assesses", "from_on": "2026-11-25", "until_on": ""}
        answer = cast.client("max").post(reverse("schemes:grant", args=["bonds"]), sent, follow=True)
        assert "Olga Assessor 25 Nov 2026 further notice holds" in page(answer)

    @pytest.mark.parametrize(
        ("change", "sentence"),
        [
            ({"person": ""}, "Choose a person"),
            ({"person": "ada"}, "Choose a person from the list"),
            ({"person": "9" * 40}, "Choose a person from the list"),
            ({"act": "flies"}, "Choose one of the permissions in the list"),
            ({"from_on": "25/11/26"}, "Give a day, such as 2026-11-30"),
            ({"until_on": "2026-11-24"}, "Give a last day that is not before the first"),
        ],
    )
    def test_comes_back_with_a_sentence(self, cast, issue, change, sentence):
        sent = {"person": cast.olga.pk, "act": "assesses", "from_on": "2026-11-25", "until_on": "2026-12-24"} | change
        answer = cast.client("max").post(reverse("schemes:grant", args=["bonds"]), sent)
        assert answer.status_code == 200
        assert sentence in page(answer)
        assert not Authority.objects.exists()

    def test_says_why_it_cannot_end_so_early(self, cast, issue):
        allow(cast, issue, "olga", Act.ASSESSES)
        sent = {"person": cast.olga.pk, "act": "assesses", "from_on": "2026-01-01", "until_on": "2026-02-01"}
        answer = cast.client("max").post(reverse("schemes:grant", args=["bonds"]), sent)
        assert "what was signed under it stays signed" in page(answer)

    @pytest.mark.parametrize(("who", "status"), [("ada", 403), ("sol", 403), ("tess", 403), ("max", 200)])
    def test_opens_for_administrators_across(self, cast, issue, who, status):
        assert cast.client(who).get(reverse("schemes:grant", args=["bonds"])).status_code == status


class TestTrained:
    def test_records_training(self, cast, issue):
        allow(cast, issue, "tess", Act.TRAINS)
        sent = {"candidate": cast.ada.pk, "ended_on": ON.isoformat()}
        answer = cast.client("tess").post(reverse("schemes:trained", args=["bonds"]), sent, follow=True)
        assert "The training is on record" in page(answer)
        assert TrainingAct.objects.get().candidate == cast.ada

    def test_comes_back_with_a_sentence(self, cast, issue):
        allow(cast, issue, "tess", Act.TRAINS)
        for day, sentence in [
            (ON + timedelta(days=1), "when it has ended"),
            (date(2025, 1, 1), "on that day"),
            (date(1, 1, 1), "Check the year"),
        ]:
            sent = {"candidate": cast.ada.pk, "ended_on": day.isoformat()}
            assert sentence in page(cast.client("tess").post(reverse("schemes:trained", args=["bonds"]), sent))
        sent = {"candidate": cast.sol.pk, "ended_on": "\x00"}
        shown = page(cast.client("tess").post(reverse("schemes:trained", args=["bonds"]), sent))
        assert "Choose a person from the list" in shown
        assert "Give a day" in shown

    @pytest.mark.parametrize(
        ("who", "status"), [("ada", 403), ("sol", 403), ("max", 403), ("olga", 403), ("tess", 200)]
    )
    def test_opens_for_trainers_with_the_permission(self, cast, issue, who, status):
        allow(cast, issue, "tess", Act.TRAINS)
        assert cast.client(who).get(reverse("schemes:trained", args=["bonds"])).status_code == status
