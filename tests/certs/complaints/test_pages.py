"""Pages of complaints: written, seen by whom, handled by whom, answered."""

from datetime import date, timedelta

import pytest
import time_machine
from django.db import DatabaseError, connection, transaction

from certs.cards.models import Card
from certs.cards.operations import measure, replace_lost
from certs.cards.rules import Step as CardStep
from certs.complaints import operations, queries
from certs.complaints.models import Complaint, ComplaintStep
from certs.complaints.operations import Outside
from certs.complaints.rules import About, Channel, Finding, Step
from certs.schemes.models import TrainingAct
from certs.worklog.models import WorkEntry
from tests.cast import AT, ON, Cast, person
from tests.certs.complaints.conftest import WHAT, do, given
from training.keeping.operations import guard, loosen
from training.ledger.models import Entry, NotEdited
from training.people.rules import Role

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("today")]


def read(cast: Cast, name: str, path: str) -> str:
    """Return a page as one line."""
    return " ".join(cast.client(name).get(path).content.decode().split())


class TestWriting:
    def test_is_acknowledged(self, cast: Cast, typed: dict[str, object]) -> None:
        """At once, with a number and the day of the answer: ISO/IEC 17024:2012, 9.9, asks for it (from memory)."""
        page = cast.client("sol").post("/complaints/new/", typed, follow=True).content.decode()
        made = Complaint.objects.get()
        assert f"Complaint {made.number} is received. Its answer is due by 25 Dec 2026." in page
        assert (made.complainant, made.of, made.due_on) == (cast.sol, cast.ada, date(2026, 12, 25))
        assert "Waits for somebody to take it up" in page
        assert "30 days left" in page

    def test_pressed_twice_it_is_one(self, cast: Cast, typed: dict[str, object]) -> None:
        for _twice in range(2):
            cast.client("sol").post("/complaints/new/", typed)
        assert Complaint.objects.count() == 1

    @pytest.mark.parametrize(
        ("wrong", "says"),
        [
            ({"about": ""}, "Choose what the complaint is about."),
            ({"card": ""}, "Give the number of the card"),
            ({"card": "FB-AAAA-AAAA"}, "No card has this number."),
            ({"what": " "}, "Write what happened, in your own words."),
            ({"wanted": ""}, "Write what you want to be done."),
            ({"happened_on": "2026-11-26"}, "That day is still to come."),
            ({"happened_on": "yesterday"}, "Give a day, such as 2026-11-30."),
            ({"about": "training", "of": "99999"}, "Choose somebody from the list, or nobody."),
        ],
    )
    def test_says_what_is_wrong(
        self, cast: Cast, typed: dict[str, object], wrong: dict[str, object], says: str
    ) -> None:
        """Beside the field, with nothing typed lost."""
        page = cast.client("sol").post("/complaints/new/", typed | wrong).content.decode()
        assert says in page
        assert "what" in wrong or WHAT in page
        assert 'value="Down line, 12.4 km"' in page
        assert not Complaint.objects.exists()

    def test_says_all_of_it_at_once(self, cast: Cast, typed: dict[str, object]) -> None:
        page = cast.client("sol").post(
            "/complaints/new/", typed | {"card": "", "what": "", "happened_on": "2027-01-01"}
        )
        for says in ("Give the number of the card", "Write what happened", "That day is still to come."):
            assert says in page.text
        with pytest.raises(operations.ComplaintRefused, match="Give the number of the card"):
            operations.receive(given=given(about=About.WORK), by=cast.sol, on=ON, at=AT)

    def test_numbers_are_not_found_by_trying(self, cast: Cast, typed: dict[str, object]) -> None:
        """Counted together with the public check, and what was typed stays."""
        client = cast.client("sol")
        for last in "ABCDEFGHJK":
            client.post("/complaints/new/", typed | {"card": f"FB-AAAA-AAA{last}"})
        page = client.post("/complaints/new/", typed).content.decode()
        assert "Too many card numbers were asked for from here." in page
        assert WHAT in page

    def test_not_about_oneself(self, cast: Cast, typed: dict[str, object]) -> None:
        page = cast.client("ada").post("/complaints/new/", typed).content.decode()
        assert "This is your own card." in page
        assert f'<option value="{cast.ada.pk}"' not in page
        assert f'<option value="{cast.tess.pk}"' in page

    def test_is_begun_from_the_page_one_comes_from(self, cast: Cast, card: Card) -> None:
        """Card, day, place and number are filled in; the check and the record lead there, quietly."""
        begun = f"/complaints/new/?card={card.number}&on=2026-11-20&place=Yard&reference=J-9"
        page = read(cast, "ben", begun)
        for value in (card.number, "2026-11-20", "Yard", "J-9"):
            assert f'value="{value}"' in page
        assert f"/complaints/new/?card={card.number}" in read(cast, "ben", f"/check/{card.number}/")
        assert "/complaints/new/" not in read(cast, "nobody", f"/check/{card.number}/")
        assert "/complaints/new/" not in read(cast, "ada", f"/check/{card.number}/")
        assert 'href="/complaints/"' in read(cast, "tess", f"/records/{cast.tess.pk}/")

    def test_from_outside(self, cast: Cast, typed: dict[str, object]) -> None:
        """An administrator writes down what an owner says; the days count from when it came."""
        more = {"name": "Bridge owner", "channel": "letter", "came_on": "2026-11-20", "contact": "PO box 7"}
        assert "Write from whom the complaint came." in (
            cast.client("max").post("/complaints/outside/", typed | more | {"name": ""}).content.decode()
        )
        future = cast.client("max").post("/complaints/outside/", typed | more | {"came_on": "2026-11-27"})
        assert "Give the day on which the complaint came." in future.content.decode()
        page = cast.client("max").post("/complaints/outside/", typed | more, follow=True).content.decode()
        assert "Its answer is due by 20 Dec 2026." in page
        assert "Bridge owner" in page
        assert "PO box 7" in page
        assert "written down by Max Administrator" in page


class TestWhoSees:
    @pytest.mark.parametrize(
        ("name", "status", "reads"),
        [
            ("sol", 200, True),
            ("max", 200, True),
            ("ada", 404, False),
            ("ben", 404, False),
            ("tess", 404, False),
            ("olga", 404, False),
            ("rex", 404, False),
        ],
    )
    def test_a_complaint(self, cast: Cast, complaint: Complaint, name: str, status: int, reads: bool) -> None:
        """Who complained and who may handle it; for everyone else, also for who is complained of, it is not there."""
        answer = cast.client(name).get(f"/complaints/{complaint.pk}/")
        assert (answer.status_code, WHAT in answer.content.decode()) == (status, reads)
        listed = read(cast, name, "/complaints/")
        assert (complaint.number in listed) is reads
        assert cast.client(name).get("/complaints/999999/").status_code == 404

    def test_who_is_complained_of_once_asked(self, cast: Cast, complaint: Complaint) -> None:
        """They read what happened and what they are asked: not who complained, what is wanted or what else was done."""
        do(cast, complaint, Step.WORD, text="It takes a week.")
        do(cast, complaint, Step.ASKED, asked=cast.ada, text="How was the steel cleaned?")
        page = read(cast, "ada", f"/complaints/{complaint.pk}/")
        assert WHAT in page
        assert "How was the steel cleaned?" in page
        assert "You are asked for your side, by 5 Dec 2026." in page
        for hidden in ("Sol Supervisor", "looked at.", "It takes a week.", "The proof on record"):
            assert hidden not in page
        said = queries.on_home(cast.ada, {Role.CREW}, on=ON)
        assert said is not None
        assert [one.number for one in said.asked] == [complaint.number]
        sent = cast.client("ada").post(f"/complaints/{complaint.pk}/side/", {"text": "By file."}, follow=True)
        assert "By file." in sent.content.decode()
        assert cast.client("ada").get(f"/complaints/{complaint.pk}/side/").status_code == 403
        assert "By file." in read(cast, "max", f"/complaints/{complaint.pk}/")
        assert "By file." not in read(cast, "sol", f"/complaints/{complaint.pk}/")

    def test_the_contact_of_somebody_outside(self, cast: Cast, card: Card) -> None:
        outside = Outside(name="Bridge owner", channel=Channel.LETTER, contact="PO box 7", came_on=ON)
        found = operations.receive(given=given(about=About.WORK, card=card), outside=outside, by=cast.max, on=ON, at=AT)
        do(cast, found, Step.ASKED, asked=cast.ada)
        page = read(cast, "ada", f"/complaints/{found.pk}/")
        assert WHAT in page
        assert "Bridge owner" not in page
        assert "PO box 7" not in page
        for reader in ("max", "dora"):
            assert "PO box 7" in read(cast, reader, f"/complaints/{found.pk}/")

    def test_an_administrator_who_is_complained_of(self, cast: Cast) -> None:
        """Named from the list or in words: neither the page nor the list shows it, and no step can be done."""
        for facts in ({"of": cast.max}, {"who": "max  administrator, I think"}):
            found = operations.receive(given=given(**facts), by=cast.ada, on=ON, at=AT)
            assert cast.client("max").get(f"/complaints/{found.pk}/").status_code == 404
            assert cast.client("max").post(f"/complaints/{found.pk}/take/").status_code == 404
            assert found.number not in read(cast, "max", "/complaints/")
            assert found.number in read(cast, "dora", "/complaints/")

    def test_an_administrator_of_an_employer(self, cast: Cast, complaint: Complaint) -> None:
        """They keep accounts of their own people: complaints are handled by the body."""
        cast.northmoor_admin = person("nora", "Nora Office", cast.northmoor, Role.ADMINISTRATOR)  # type: ignore[attr-defined]
        client = cast.client("northmoor_admin")
        assert client.get(f"/complaints/{complaint.pk}/").status_code == 404
        assert client.get("/complaints/outside/").status_code == 403
        assert "To be answered" not in client.get("/complaints/").text

    def test_the_ledger_does_not_tell_who(self, cast: Cast, complaint: Complaint) -> None:
        """It is read by every administrator, also by one who is complained of."""
        do(cast, complaint, Step.ASKED, asked=cast.ada)
        do(cast, complaint, Step.SIDE, by="ada")
        page = read(cast, "dora", f"/ledger/?kind=complaint&record={complaint.pk}")
        assert "Somebody not named here brought a complaint" in page
        assert "Somebody not named here gave the other side of a complaint" in page
        assert "Sol Supervisor" not in page
        assert "Ada Crew" not in page
        assert "Max Administrator</a> took a complaint up" in page


class TestIndependence:
    def test_who_assessed_trained_or_decided(self, cast: Cast, complaint: Complaint, card: Card) -> None:
        """They see that it is there and why it is not theirs, not what it says."""
        dora = cast.client("dora")
        facts = {"scheme": card.scheme, "trainer": cast.dora, "candidate": cast.ada, "recorded_at": AT}
        trained = TrainingAct.objects.create(ended_on=date(2024, 7, 1), **facts)
        page = read(cast, "dora", f"/complaints/{complaint.pk}/")
        assert "You trained the person whose card or assessment it is about" in page
        assert WHAT not in page
        assert "You trained the person" in read(cast, "dora", "/complaints/")
        answer = dora.post(f"/complaints/{complaint.pk}/take/")
        assert answer.status_code == 403
        assert not complaint.steps.exists()
        with pytest.raises(operations.Involved, match="You trained"):
            operations.take(complaint=complaint, by=cast.dora, on=ON, at=AT)
        # Of 24 months before the practical of 1 June 2026: the training is none of the card's own acts any more.
        TrainingAct.objects.filter(pk=trained.pk).update(ended_on=date(2024, 6, 1))
        assert WHAT in read(cast, "dora", f"/complaints/{complaint.pk}/")

    def test_who_suspended_the_card_before(self, cast: Cast, card: Card, typed: dict[str, object]) -> None:
        """Whoever decided about the card before; what is done because of the complaint ties nobody."""
        before = AT - timedelta(days=3)
        measure(card=card, step=CardStep.SUSPENDED, by=cast.dora, reason="Doubt.", on=before.date(), at=before)
        cast.client("sol").post("/complaints/new/", typed)
        found = Complaint.objects.get()
        assert "You decided about that person" in read(cast, "dora", f"/complaints/{found.pk}/")
        do(cast, found, Step.WORD)
        measure(card=card, step=CardStep.REINSTATED, by=cast.max, reason="C.", on=ON, at=AT + timedelta(hours=1))
        assert do(cast, found, Step.DONE).by == cast.max

    def test_nobody_is_left(self, cast: Cast) -> None:
        """A complaint about the last one who could handle it is not lost: every administrator reads what to do."""
        cast.dora.is_active = False
        cast.dora.save()
        found = operations.receive(given=given(of=cast.max), by=cast.ada, on=ON, at=AT)
        for path in ("/", "/complaints/"):
            page = read(cast, "max", path)
            assert "1 complaint waits, and every administrator here has a part in it." in page
            assert found.number not in page
        person("una", "Una New", cast.body, Role.ADMINISTRATOR)
        assert "every administrator here has a part" not in read(cast, "max", "/")

    def test_only_one_handles_it(self, cast: Cast, complaint: Complaint) -> None:
        cast.client("max").post(f"/complaints/{complaint.pk}/take/")
        again = cast.client("dora").post(f"/complaints/{complaint.pk}/take/", follow=True).content.decode()
        assert "Somebody else handles this complaint." in again
        assert cast.client("dora").get(f"/complaints/{complaint.pk}/word/").status_code == 403
        cast.client("max").post(f"/complaints/{complaint.pk}/laid-down/", {"text": "On leave."})
        assert "I take it up" in read(cast, "dora", f"/complaints/{complaint.pk}/")

    def test_whose_handler_has_left(self, cast: Cast, complaint: Complaint) -> None:
        cast.client("max").post(f"/complaints/{complaint.pk}/take/")
        cast.max.is_active = False
        cast.max.save()
        page = cast.client("dora").post(f"/complaints/{complaint.pk}/take/", follow=True).content.decode()
        assert "You handle this complaint now." in page

    def test_whose_handler_left_after_the_answer(self, cast: Cast, complaint: Complaint) -> None:
        """What was written wrongly is still put right, by another; nothing else is done any more."""
        do(cast, complaint, Step.FOUND, finding=Finding.NOT_UPHELD)
        answer = do(cast, complaint, Step.CLOSED)
        client, at = cast.client("dora"), f"/complaints/{complaint.pk}"
        assert client.get(f"{at}/put-right/").status_code == 403
        cast.max.is_active = False
        cast.max.save()
        assert client.get(f"{at}/word/").status_code == 403
        client.post(f"{at}/put-right/", {"corrects": answer.pk, "text": "At 12.5 km."})
        assert complaint.steps.get(step=Step.PUT_RIGHT).by == cast.dora


class TestCourse:
    def test_to_the_answer(self, cast: Cast, complaint: Complaint) -> None:
        """Every step by its form; the complainant reads taken up, how far it is, the outcome and the answer."""
        at, client = f"/complaints/{complaint.pk}", cast.client("max")
        client.post(f"{at}/take/")
        early = client.post(f"{at}/closed/", {"text": "Nothing."}).content.decode()
        assert "Write down first what came out" in early
        unheard = client.post(f"{at}/found/", {"finding": "upheld", "text": "Off centre."}).content.decode()
        assert "Ask for the other side first" in unheard
        assert "Off centre." in unheard
        client.post(f"{at}/asked/", {"asked": cast.ada.pk, "text": "How was it cleaned?"})
        open_side = client.post(f"{at}/found/", {"finding": "partly", "text": "Off centre."}).content.decode()
        assert "The other side still has days to answer." in open_side
        cast.client("ada").post(f"{at}/side/", {"text": "By brush."})
        for step, facts in (
            ("word", {"text": "Her side is here."}),
            ("found", {"finding": "upheld", "text": "No bright steel under the lug."}),
            ("done", {"text": "Three shots under the eyes of a trainer."}),
            ("closed", {"text": "You were right. She shows her work again."}),
        ):
            assert client.post(f"{at}/{step}/", facts).status_code == 302, step
        own = read(cast, "sol", f"{at}/")
        assert "Answered and closed</strong>. The complaint is right." in own
        assert "You were right. She shows her work again." in own
        assert "Her side is here." in own
        for hidden in ("No bright steel", "Three shots", "By brush."):
            assert hidden not in own
        assert "days left" not in own
        assert "This complaint is answered and closed." in client.post(f"{at}/word/", {"text": "More."}).text
        assert [one.step for one in complaint.steps.order_by("pk")] == [
            "taken", "asked", "side", "word", "found", "done", "closed",
        ]  # fmt: skip

    def test_what_was_wrong_is_put_right_by_a_new_entry(self, cast: Cast, complaint: Complaint) -> None:
        """Also after the closing; who reads the old one reads the new one, and nobody else."""
        reason = do(cast, complaint, Step.FOUND, finding=Finding.NOT_UPHELD, text="Tight at 12.4 km.")
        answer = do(cast, complaint, Step.CLOSED, text="It was tight.")
        client, at = cast.client("max"), f"/complaints/{complaint.pk}"
        client.post(f"{at}/put-right/", {"corrects": answer.pk, "text": "At 12.5 km."})
        client.post(f"{at}/put-right/", {"corrects": reason.pk, "text": "Read in the sheet of J-12."})
        own = read(cast, "sol", f"{at}/")
        assert "It was tight." in own
        assert "At 12.5 km." in own
        assert "J-12." not in own
        assert "Choose the entry that is put right." in client.post(f"{at}/put-right/", {"text": "x"}).text
        assert complaint.steps.count() == 5

    def test_says_what_is_missing(self, cast: Cast, complaint: Complaint) -> None:
        client, at = cast.client("max"), f"/complaints/{complaint.pk}"
        client.post(f"{at}/take/")
        assert "Write it in words: it stays with the complaint." in client.post(f"{at}/word/", {}).text
        assert "Say whether the complaint is right" in client.post(f"{at}/found/", {"text": "x"}).text
        assert "Choose whose side is asked for." in client.post(f"{at}/asked/", {"text": "x"}).text
        assert "Choose a person from the list." in (
            client.post(f"{at}/asked/", {"text": "x", "asked": cast.quin.pk}).text
        )
        for name in ("taken", "nonsense"):
            assert client.get(f"{at}/{name}/").status_code == 404
        assert not complaint.steps.exclude(step=Step.TAKEN).exists()

    def test_pressed_twice_it_is_one(self, cast: Cast, complaint: Complaint) -> None:
        client, at = cast.client("max"), f"/complaints/{complaint.pk}"
        for _twice in range(2):
            client.post(f"{at}/take/")
            client.post(f"{at}/word/", {"text": "This week."})
        assert complaint.steps.count() == 2

    def test_the_answer_to_somebody_outside_says_how_it_went(self, cast: Cast) -> None:
        outside = Outside(name="Bridge owner", channel=Channel.TELEPHONE, contact="555 0100", came_on=ON)
        found = operations.receive(given=given(), outside=outside, by=cast.max, on=ON, at=AT)
        do(cast, found, Step.FOUND, finding=Finding.UPHELD)
        client = cast.client("max")
        assert "Write how the answer was sent" in client.post(f"/complaints/{found.pk}/closed/", {"text": "Yes."}).text
        client.post(f"/complaints/{found.pk}/closed/", {"text": "Yes.", "reached": "Letter of today"})
        assert "(Letter of today)" in read(cast, "dora", f"/complaints/{found.pk}/")


class TestProof:
    def test_is_one_press_away(self, cast: Cast, complaint: Complaint, card: Card) -> None:
        """Card, practical, paper, acts, the bonds of the day and of the job, and the act that stops the card."""
        facts = {"person": cast.ada, "scheme": card.scheme, "bonds": 4, "received_at": AT, "digest": "0" * 64}
        numbers = ["00000000-0000-4000-8000-000000000001", "00000000-0000-4000-8000-000000000002"]
        WorkEntry.objects.create(id=numbers[0], done_on=date(2026, 11, 20), place="12.4 km", **facts)
        WorkEntry.objects.create(id=numbers[1], done_on=date(2026, 11, 2), place="Yard", job="J-12", **facts)
        WorkEntry.objects.create(id=numbers[1][:-1] + "3", done_on=date(2026, 11, 3), place="Siding", **facts)
        do(cast, complaint, Step.WORD)
        page = cast.client("max").get(f"/complaints/{complaint.pk}/").context["page"]
        ways = [way.url for way in page.proof]
        assert ways[:4] == [
            f"/cards/{card.number}/",
            f"/signoffs/{card.evidence_id}/",
            f"/papers/sittings/{card.evidence.sitting_id}/",
            f"/ledger/?kind=card&record={card.number}",
        ]
        assert [way for way in ways if "kind=work" in way] == [
            f"/ledger/?kind=work&record={one}" for one in numbers[::-1]
        ]
        for way in (one for one in ways if one.startswith(("/cards/", "/ledger/"))):
            assert cast.client("max").get(way).status_code == 200, way
        stops = cast.client("max").get(page.measure).content.decode()
        assert f"Complaint {complaint.number}: </textarea>" in stops

    def test_leads_to_the_card_that_counts_now(self, cast: Cast, complaint: Complaint, card: Card) -> None:
        """The one complained about was lost since: it cannot be suspended any more, its successor can."""
        do(cast, complaint, Step.WORD)
        newer = replace_lost(card=card, by=cast.max, reason="Lost.", on=ON, at=AT + timedelta(hours=1))
        page = cast.client("max").get(f"/complaints/{complaint.pk}/").context["page"]
        assert page.measure.startswith(f"/cards/{newer.number}/measure/")
        assert [way.url for way in page.proof][:2] == [f"/cards/{card.number}/", f"/cards/{newer.number}/"]


class TestDays:
    def test_overdue_by_day(self, cast: Cast, complaint: Complaint) -> None:
        """Told for the day it is read: in time on the last one, overdue from the next one, named on the home page."""
        do(cast, complaint, Step.WORD)
        for later in (30, 31, 40):
            on = ON + timedelta(days=later)
            (row,) = queries.index(cast.max, on=on).open
            assert (row.is_overdue, row.days_over, row.mine) == (later > 30, later - 30, True)
            for name, mine in ((cast.max, True), (cast.dora, False)):
                said = queries.on_home(name, {Role.ADMINISTRATOR}, on=on)
                assert bool(said and said.overdue) is (later > 30)
                assert bool(said and said.mine) is (mine and later == 30)
        with time_machine.travel(AT + timedelta(days=31), tick=False):
            assert "overdue by 1 day" in read(cast, "dora", "/complaints/")
            assert "<h3>Overdue</h3>" in read(cast, "dora", "/")
        do(cast, complaint, Step.FOUND, finding=Finding.NOT_UPHELD)
        do(cast, complaint, Step.CLOSED)
        (row,) = queries.index(cast.max, on=ON + timedelta(days=40)).closed
        assert not row.is_overdue

    def test_the_next_one_due_comes_first(self, cast: Cast) -> None:
        for came in (3, 9, 6):
            day = ON - timedelta(days=came)
            outside = Outside(name="Owner", channel=Channel.MAIL, contact="a@example.org", came_on=day)
            operations.receive(given=given(what=f"{came}"), outside=outside, by=cast.max, on=ON, at=AT)
        assert [one.left for one in queries.index(cast.dora, on=ON).open] == [21, 24, 27]
        assert "3 complaints wait to be taken up" in read(cast, "dora", "/")
        assert queries.index(cast.sol, on=ON).open == ()


class TestKept:
    def test_nothing_is_changed_or_lost(self, cast: Cast, complaint: Complaint) -> None:
        """Neither by the site nor past it: the database refuses."""
        made = do(cast, complaint, Step.WORD)
        for row in (complaint, made):
            with pytest.raises(NotEdited):
                row.save()
            with pytest.raises(NotEdited):
                row.delete()
        guard()
        try:
            for table in (Complaint, ComplaintStep):
                with pytest.raises(DatabaseError, match="kept as it was written"), transaction.atomic():
                    connection.cursor().execute(f'DELETE FROM "{table._meta.db_table}"')  # noqa: S608
        finally:
            loosen()
        acts = list(Entry.objects.filter(about__complaint=complaint.pk).values_list("act", flat=True).order_by("seq"))
        assert acts == ["complaint received", "complaint taken", "complaint word"]
        assert WHAT not in str(list(Entry.objects.values_list("about", flat=True)))
