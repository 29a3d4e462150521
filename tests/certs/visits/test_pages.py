"""Pages of visits: asked for, accepted, declined, called off, and in the calendar."""

from datetime import date, timedelta

import pytest
from django.db import IntegrityError, transaction
from icalendar import Calendar

from certs.schemes.models import Authority, TrainingAct
from certs.visits.models import Visit, VisitStep
from certs.visits.queries import Line, index, shown
from certs.visits.rules import Step
from tests.cast import AT, ON, Cast
from tests.certs.factory import passed_sitting, scheme_issue, signoff
from tests.certs.visits.conftest import DAY
from training.ledger.models import Entry

pytestmark = pytest.mark.usefixtures("today")


class TestAsking:
    def test_asks(self, cast: Cast, typed: dict[str, object]) -> None:
        """From the form to the page of the visit, with what the record says Ada has to show."""
        page = cast.client("sol").post("/visits/ask/", typed, follow=True).content.decode()
        assert "Asked, no answer yet" in page
        assert "shows the practical" in page
        assert "Ada Crew" in page
        found = Visit.objects.get()
        assert (found.employer, found.trainer, found.on, found.asked_by) == (cast.northmoor, cast.olga, DAY, cast.sol)

    def test_takes_what_the_plan_gives(self, cast: Cast, typed: dict[str, object]) -> None:
        """Scheme, day and people come with the address."""
        asked = f"/visits/ask/?scheme=bonds&on={DAY.isoformat()}&place=North+yard&person={cast.ada.pk}"
        form = cast.client("sol").get(asked).context["form"]
        assert str(form["issue"].value()) == str(typed["issue"])
        assert "checked" in str(form["people"])
        assert DAY.isoformat() in str(form["on"])
        assert form["place"].value() == "North yard"

    def test_says_what_each_trainer_may_assess(self, cast: Cast, typed: dict[str, object]) -> None:
        """So that nobody is chosen in vain; the calendar's page says that visits are in it."""
        page = cast.client("sol").get("/visits/ask/").content.decode()
        assert f"Olga Assessor, Certification body: {scheme_issue().title}</option>" in page
        assert "trainer visits that were accepted" in cast.client("sol").get("/calendar/").content.decode()

    @pytest.mark.parametrize(
        ("wrong", "says"),
        [
            ({"on": "tomorrow"}, "Give a day, such as 2026-11-30."),
            ({"on": "2026-11-24"}, "That day is over."),
            ({"place": ""}, "Say where the trainer comes to."),
            ({"people": []}, "Choose at least one person"),
            ({"trainer": ""}, "Choose a trainer."),
            ({"issue": "9999"}, "Choose one of the schemes in the list."),
        ],
    )
    def test_says_what_is_wrong(
        self, cast: Cast, typed: dict[str, object], wrong: dict[str, object], says: str
    ) -> None:
        """Each mistake is told, and nothing typed is lost."""
        page = cast.client("sol").post("/visits/ask/", typed | wrong).content.decode()
        assert says in page
        assert "place" in wrong or "North yard" in page
        assert not Visit.objects.exists()

    def test_a_trainer_who_may_not(self, cast: Cast, typed: dict[str, object]) -> None:
        """One whose permission ends before the day, or who trained the person of late, cannot be asked."""
        scheme = Authority.objects.get().scheme
        TrainingAct.objects.create(
            scheme=scheme, trainer=cast.olga, candidate=cast.ada, ended_on=date(2025, 1, 1), recorded_at=AT
        )
        Authority.objects.update(until_on=ON)
        page = cast.client("sol").post("/visits/ask/", typed).content.decode()
        assert "This trainer may not assess under the scheme on that day." in page
        assert "This trainer trained Ada Crew within 24 months" in page

    def test_not_twice(self, cast: Cast, visit: Visit, typed: dict[str, object]) -> None:
        """A person has one open visit under a scheme."""
        page = cast.client("sol").post("/visits/ask/", typed).content.decode()
        assert "Under this scheme there is a visit already for Ada Crew. Call that one off first" in page

    def test_an_administrator_says_for_which_employer(self, cast: Cast, typed: dict[str, object]) -> None:
        """Who reaches several employers chooses one."""
        page = cast.client("max").post("/visits/ask/", typed).content.decode()
        assert "Choose an employer." in page
        assert "Quin Stranger, Elsewhere Lines" in page
        assert "Ada Crew, Northmoor Track" not in cast.client("sol").get("/visits/ask/").content.decode()
        other = typed | {"employer": cast.elsewhere.pk}
        assert "Choose people of one employer" in cast.client("max").post("/visits/ask/", other).content.decode()
        cast.client("max").post("/visits/ask/", typed | {"employer": cast.northmoor.pk})
        assert Visit.objects.get().employer == cast.northmoor


class TestAnswering:
    def test_accepts(self, cast: Cast, visit: Visit) -> None:
        """The trainer accepts once; it stands in the ledger once, without names."""
        olga = cast.client("olga")
        assert "Accept the visit" in olga.get(f"/visits/{visit.pk}/").content.decode()
        page = olga.post(f"/visits/{visit.pk}/accept/", follow=True).content.decode()
        assert "Accepted" in page
        assert "Accept the visit" not in page
        assert 'href="/signoffs/"' in page
        assert "Practicals to see" not in cast.client("sol").get(f"/visits/{visit.pk}/").content.decode()
        olga.post(f"/visits/{visit.pk}/accept/")
        entry = Entry.objects.get(act="visit accepted")
        assert entry.about == {
            "visit": visit.pk, "trainer": cast.olga.pk, "on": DAY.isoformat(), "people": [cast.ada.pk],
        }  # fmt: skip

    def test_declines_with_a_reason(self, cast: Cast, visit: Visit) -> None:
        """Without a reason it is not declined; with one, whoever asked reads it."""
        page = cast.client("olga").post(f"/visits/{visit.pk}/decline/", {"reason": ""}).content.decode()
        assert "Say why you decline" in page
        cast.client("olga").post(f"/visits/{visit.pk}/decline/", {"reason": "On leave; the 7th would do."})
        assert "On leave; the 7th would do." in cast.client("sol").get(f"/visits/{visit.pk}/").content.decode()
        assert Entry.objects.filter(act="visit declined").count() == 1
        late = cast.client("olga").post(f"/visits/{visit.pk}/accept/", follow=True).content.decode()
        assert "over, declined or called off already" in late
        again = cast.client("olga").post(f"/visits/{visit.pk}/decline/", {"reason": "x"}, follow=True).content.decode()
        assert "over, declined or called off already" in again

    def test_is_called_off(self, cast: Cast, visit: Visit) -> None:
        """Whoever asked calls it off, asked once more first, and asks anew."""
        asked = cast.client("sol").get(f"/visits/{visit.pk}/call-off/").content.decode()
        assert "Olga Assessor does not come to Northmoor Track" in asked
        assert "The trainer and whoever asked are told by mail." in asked
        visit.refresh_from_db()
        assert visit.accepted is None
        page = cast.client("sol").post(f"/visits/{visit.pk}/call-off/", follow=True).content.decode()
        assert "Called off" in page
        again = f'href="/visits/ask/?scheme=bonds&amp;place=North+yard&amp;person={cast.ada.pk}"'
        assert again in page
        assert again not in cast.client("olga").get(f"/visits/{visit.pk}/").content.decode()
        again = cast.client("sol").post(f"/visits/{visit.pk}/call-off/", follow=True).content.decode()
        assert "over, declined or called off already" in again

    def test_is_nobody_elses(self, cast: Cast, visit: Visit) -> None:
        """Another trainer and another employer's supervisor do not find it; crew members have no such page."""
        assert cast.client("tess").get(f"/visits/{visit.pk}/").status_code == 404
        assert cast.client("tess").post(f"/visits/{visit.pk}/accept/").status_code == 404
        assert cast.client("rex").get(f"/visits/{visit.pk}/").status_code == 404
        assert cast.client("rex").post(f"/visits/{visit.pk}/call-off/").status_code == 404
        assert cast.client("ada").get("/visits/").status_code == 403

    def test_asks_whether_it_is_needed_after_a_practical_passed_before_it(self, cast: Cast, visit: Visit) -> None:
        """One from before it was asked for is why it was asked; one not passed leaves it needed."""
        issue = scheme_issue()
        read = f"/visits/{visit.pk}/"
        signoff(cast.ada, issue, assessor=cast.olga, on=ON - timedelta(days=40))
        signoff(cast.ada, issue, assessor=cast.olga, on=ON + timedelta(days=1), passed=False)
        assert "is it still needed" not in cast.client("olga").get(read).content.decode()
        signoff(cast.ada, issue, assessor=cast.olga, on=ON + timedelta(days=2))
        page = cast.client("olga").get(read).content.decode()
        assert "passed on 27 Nov 2026, before this visit: is it still needed?" in page
        signoff(cast.ada, issue, assessor=cast.olga, on=DAY)
        assert "is it still needed" not in cast.client("olga").get(read).content.decode()

    def test_counts_a_paper_passed_before_it(self, cast: Cast, visit: Visit) -> None:
        """Somebody else saw Ada sit it meanwhile: that is on record, and no reason to call the visit off."""
        VisitStep.objects.create(visit=visit, person=cast.ada, step=Step.PAPER)
        assert [line.done for line in self.lines()] == [False, False]
        passed_sitting(cast.ada, on=ON + timedelta(days=2))
        assert [(line.what, line.done, line.already) for line in self.lines()] == [
            ("sits the paper", True, None), ("shows the practical", False, None),
        ]  # fmt: skip

    def lines(self) -> tuple[Line, ...]:
        (one,) = shown(Visit.objects.all(), on=DAY)
        return one.lines

    def test_tells_the_trainer_of_another_on_the_day(self, cast: Cast, visit: Visit, typed: dict[str, object]) -> None:
        """Nobody is in two yards at once; whoever asked does not read where else the trainer goes."""
        cast.client("sol").post("/visits/ask/", typed | {"place": "South yard", "people": [cast.ben.pk]})
        assert "South yard" in cast.client("olga").get(f"/visits/{visit.pk}/").content.decode()
        assert "South yard" not in cast.client("sol").get(f"/visits/{visit.pk}/").content.decode()
        other = Visit.objects.get(place="South yard")
        cast.client("olga").post(f"/visits/{other.pk}/decline/", {"reason": "In the north that day."})
        assert "South yard" not in cast.client("olga").get(f"/visits/{visit.pk}/").content.decode()

    def test_lists(self, cast: Cast, visit: Visit) -> None:
        """It stands on the lists of both, first as to come, later as over."""
        for name in ("sol", "olga"):
            assert "North yard" in cast.client(name).get("/visits/").content.decode()
        assert "North yard" not in cast.client("rex").get("/visits/").content.decode()
        later = index(Visit.objects.all(), on=DAY + timedelta(days=1))
        assert ([*later.ahead], [one.words for one in later.over]) == ([], ["Over, not all done"])


class TestCalendar:
    def test_feed_and_file(self, cast: Cast, visit: Visit) -> None:
        """An accepted visit is a whole day (RFC 5545, 3.6.1) in the feeds of all three, and leaves when called off."""
        feeds = {name: _feed(cast, name) for name in ("olga", "ada", "sol", "ben")}
        assert all(not _days(cast, address) for address in feeds.values())
        cast.client("olga").post(f"/visits/{visit.pk}/accept/")
        found = {name: _days(cast, address) for name, address in feeds.items()}
        assert found["olga"] == found["ada"] == found["sol"]
        assert [(one["DTSTART"].dt, one["DTEND"].dt) for one in found["olga"]] == [(DAY, DAY + timedelta(days=1))]
        assert found["ben"] == []
        file = cast.client("olga").get(f"/calendar/visits/{visit.pk}.ics")
        assert file["Content-Type"].startswith("text/calendar")
        (entry,) = Calendar.from_ical(file.content).walk("VEVENT")
        assert entry["UID"] == found["olga"][0]["UID"]
        assert "Ada Crew" in entry["SUMMARY"]
        assert "North yard" in entry["DESCRIPTION"]
        cast.client("sol").post(f"/visits/{visit.pk}/call-off/")
        assert _days(cast, feeds["ada"]) == []


def _feed(cast: Cast, name: str) -> str:
    return str(cast.client(name).post("/calendar/open/").context["address"])


def _days(cast: Cast, address: str) -> list[object]:
    return list(Calendar.from_ical(cast.client("nobody").get(address).content).walk("VEVENT"))


@pytest.mark.django_db
def test_answer_is_whole(visit: Visit) -> None:
    """The database takes no refusal without a reason, no answer without its moment."""
    for half in ({"accepted": False, "answered_at": AT}, {"accepted": True}, {"reason": "no"}):
        with pytest.raises(IntegrityError), transaction.atomic():
            Visit.objects.filter(pk=visit.pk).update(**half)
