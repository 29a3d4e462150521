"""The pages of an open sitting: one question a page, flags, two tabs, breaks, the review, what staff settles."""

import re
from decimal import Decimal

import pytest
import time_machine
from django.urls import reverse

from tests.cast import AT, ON
from tests.training.quizzes.pool import fields, paper, place, right
from tests.training.quizzes.test_views import AGREED, HOUR, JSON, hidden, url
from tests.training.reply import page
from training.bank import operations as bank
from training.content.papers import DatumSpec
from training.quizzes import operations
from training.quizzes.models import Accommodation, Admission, Answer, Retraining, Sitting


@pytest.fixture
def sheet(site, theory) -> Sitting:
    """A sitting ada has just opened, with breaks settled beforehand."""
    operations.accommodate(
        person=site.ada, paper=theory, factor=Decimal("1.5"), break_minutes=20, reason="Has to move about.",
        by=site.tess, at=AT,
    )  # fmt: skip
    return operations.open_sitting(person=site.ada, paper=theory, seed="s1", at=AT)


@pytest.fixture
def drop(sheet) -> str:
    """The name of the field of a question that asks for a number."""
    return f"q{place(sheet, 'drop')}-answer"


def one(sheet, position):
    return reverse("quizzes:question", args=[sheet.pk, position])


class TestQuestion:
    def test_shows_one_question_and_no_other(self, site, sheet):
        body = page(site.client("ada").get(one(sheet, 2)))
        prompts = {item.position: item.shown["prompt"] for item in sheet.items.all()}
        assert prompts.pop(2) in body
        assert not [prompt for prompt in prompts.values() if prompt in body]
        assert f'data-sheet="{url(sheet, "keep")}?only=2"' in body

    def test_keeps_its_answer_and_goes_where_it_is_sent(self, site, sheet, drop):
        client, position = site.client("ada"), place(sheet, "drop")
        assert client.post(one(sheet, position), {drop: "4", "to": position + 1}).url == one(sheet, position + 1)
        assert client.post(one(sheet, position), {drop: "4", "to": position - 1}).url == one(sheet, position - 1)
        assert client.post(one(sheet, position), {drop: "4", "to": "99"}).url == url(sheet, "review")
        assert client.post(one(sheet, position), {drop: "4"}).url == url(sheet, "review")
        assert Answer.objects.get().given == {"answer": "4"}

    def test_comes_back_with_a_sentence_beside_what_cannot_be_read(self, site, sheet, drop):
        body = page(site.client("ada").post(one(sheet, place(sheet, "drop")), {drop: "four", "to": "3"}))
        assert "Write the number first" in body
        assert 'value="four"' in body

    def test_is_not_held_up_by_what_cannot_be_read_elsewhere(self, site, sheet, drop):
        client = site.client("ada")
        client.post(one(sheet, place(sheet, "drop")), {drop: "four"})
        assert client.post(f"{url(sheet, 'keep')}?only=1", {"q1-answer": ""}).url == one(sheet, 1)
        assert client.post(one(sheet, 1), {"q1-answer": "", "to": "2"}).url == one(sheet, 2)

    def test_says_what_cannot_be_read_beside_the_field_when_come_back_to(self, site, sheet, drop):
        client = site.client("ada")
        client.post(url(sheet, "keep"), {drop: "12,,5 abc"}, headers=JSON)
        body = page(client.get(one(sheet, place(sheet, "drop"))))
        assert "<title>Error:" in body
        assert "The signs between the digits of 12,,5 do not fit." in body.partition("invalid-feedback")[2]
        assert 'value="12,,5 abc"' in body
        assert "do not fit" not in page(client.get(one(sheet, 1 + place(sheet, "drop") % 5)))

    def test_says_nothing_of_an_answer_that_can_be_read_right_or_wrong(self, site, sheet, drop):
        """Telling which numbers are sensible would tell something of the key."""
        client, seen = site.client("ada"), set()
        for typed in (right(sheet)[place(sheet, "drop")]["answer"], "-99999 m", "5"):
            client.post(url(sheet, "keep"), hidden(client, sheet) | {drop: typed}, headers=JSON)
            for where in (one(sheet, place(sheet, "drop")), url(sheet, "review")):
                body = re.sub(r'value="[^"]*"|nonce="[^"]*"', "", page(client.get(where)))
                assert "Cannot be read" not in body
                assert "invalid-feedback" not in body
                seen.add((where, body))
        assert len(seen) == 2

    def test_keeps_by_itself_and_comes_back(self, site, sheet):
        reply = site.client("ada").post(f"{url(sheet, 'keep')}?only=1", {"q1-answer": right(sheet)[1]["answer"]})
        assert reply.url == one(sheet, 1)

    @pytest.mark.parametrize("position", [0, 6, 9999])
    def test_is_not_found_outside_the_paper(self, site, sheet, position):
        assert site.client("ada").get(one(sheet, position)).status_code == 404

    def test_is_nobody_elses_and_of_no_paper_handed_in(self, site, sheet):
        assert site.client("ben").get(one(sheet, 1)).status_code == 404
        assert site.client("tess").post(one(sheet, 1), {}).status_code == 404
        operations.hand_in(sitting=sheet, answers={}, at=AT)
        assert site.client("ada").get(one(sheet, 1)).status_code == 404


class TestFlag:
    def test_is_kept_and_taken_back(self, site, sheet):
        client = site.client("ada")
        known = hidden(client, sheet)
        client.post(url(sheet, "keep"), known | {"flag-2": "on"})
        assert Answer.objects.get().flagged
        assert re.search(r'id="flag-2" checked', page(client.get(url(sheet))))
        assert "Question 2" in page(client.get(url(sheet, "review"))).partition("Flagged, to come back to")[2]
        client.post(url(sheet, "keep"), known)
        assert not Answer.objects.get().flagged

    def test_is_no_answer(self, site, sheet):
        client = site.client("ada")
        client.post(url(sheet, "keep"), hidden(client, sheet) | {"flag-2": "on"})
        assert not any(Answer.objects.get().given.values())
        assert "<dt>Empty</dt><dd>5</dd>" in page(client.get(url(sheet, "review")))

    def test_of_another_page_stays_when_a_page_that_names_none_keeps(self, site, sheet, drop):
        client = site.client("ada")
        client.post(url(sheet, "keep"), hidden(client, sheet) | {"flag-1": "on"})
        client.post(url(sheet, "keep"), {drop: "4"})
        assert Answer.objects.get(item__position=1).flagged


class TestTwoTabs:
    def test_the_stale_one_never_puts_its_answer_over_the_newer(self, site, sheet, drop):
        client = site.client("ada")
        stale, fresh = hidden(client, sheet), hidden(client, sheet)
        client.post(url(sheet, "keep"), fresh | {drop: "5"}, headers=JSON)
        said = client.post(url(sheet, "keep"), stale | {drop: "4"}, headers=JSON).json()
        assert said["says"].startswith(f"A newer answer is already kept for question {place(sheet, 'drop')}.")
        assert Answer.objects.get().given == {"answer": "5"}
        said = client.post(url(sheet, "keep"), stale | {drop: "4"}, headers=JSON).json()
        assert "newer answer" in said["says"]

    def test_the_stale_one_is_shown_the_newer_and_what_it_had_sent(self, site, sheet, drop):
        client = site.client("ada")
        stale = hidden(client, sheet)
        client.post(url(sheet, "keep"), hidden(client, sheet) | {drop: "5"})
        for where in (url(sheet), url(sheet, "keep"), one(sheet, place(sheet, "drop"))):
            body = page(client.post(where, stale | {drop: "4"}))
            assert "A newer answer is already kept, and is shown here. This page had sent: 4" in body
            assert 'value="5"' in body
        assert Answer.objects.get().given == {"answer": "5"}

    def test_an_option_that_was_sent_is_told_in_words(self, site, sheet):
        client, options = site.client("ada"), sheet.items.get(position=1).shown["parts"][0]["options"]
        stale = hidden(client, sheet)
        client.post(url(sheet, "keep"), hidden(client, sheet) | {"q1-answer": options[0]["id"]})
        body = page(client.post(url(sheet, "keep"), stale | {"q1-answer": options[1]["id"]}))
        assert f"This page had sent: {options[1]['text']}" in body
        assert "This page had sent: no answer" in page(client.post(url(sheet, "keep"), stale | {"q1-answer": ""}))

    def test_a_page_whose_reply_was_lost_goes_on(self, site, sheet, drop):
        """It does not know the new turn, but what it kept itself is no news to it."""
        client = site.client("ada")
        known = hidden(client, sheet)
        client.post(url(sheet, "keep"), known | {drop: "4"}, headers=JSON)
        assert client.post(url(sheet, "keep"), known | {drop: "5"}, headers=JSON).json()["says"] == ""
        assert (Answer.objects.get().given, Answer.objects.get().turn) == ({"answer": "5"}, 2)

    def test_other_answers_of_the_stale_one_are_kept(self, site, sheet, drop):
        client = site.client("ada")
        stale = hidden(client, sheet)
        client.post(url(sheet, "keep"), hidden(client, sheet) | {drop: "5"})
        client.post(url(sheet, "keep"), stale | {drop: "4", "q1-answer": right(sheet)[1]["answer"]}, headers=JSON)
        assert Answer.objects.get(item__position=1).given == right(sheet)[1]

    @pytest.mark.parametrize("forged", ["", "zz", "A" * 32, "a" * 33, "\x00", "0" * 31 + "g"])
    def test_a_page_that_does_not_say_who_it_is_replaces_nothing(self, site, sheet, drop, forged):
        client = site.client("ada")
        client.post(url(sheet, "keep"), {drop: "5", "page": forged, f"turn-{place(sheet, 'drop')}": "x"})
        client.post(url(sheet, "keep"), {drop: "4", "page": forged}, headers=JSON)
        assert Answer.objects.get().given == {"answer": "5"}


class TestBreak:
    def test_hides_the_questions_and_stops_the_clock(self, site, sheet):
        client = site.client("ada")
        assert "You have 20 minutes of breaks left." in page(client.get(url(sheet)))
        assert client.post(url(sheet, "pause")).url == url(sheet)
        for name in ("sitting", "review"):
            body = page(client.get(url(sheet, name)))
            assert "The clock stands still" in body
            assert not [item for item in sheet.items.all() if item.shown["prompt"] in body]
        assert "The clock stands still" in page(client.get(one(sheet, 1)))
        with time_machine.travel(AT + HOUR / 5, tick=False):  # 12 minutes
            client.post(url(sheet, "pause"), {"end": "1"})
        sheet.refresh_from_db()
        assert sheet.due_at == AT + HOUR * 1.5 + HOUR / 5

    def test_keeps_nothing(self, site, sheet, drop):
        client = site.client("ada")
        client.post(url(sheet, "pause"))
        assert client.post(url(sheet, "keep"), {drop: "4"}, headers=JSON).status_code == 409
        assert client.post(url(sheet, "keep"), {drop: "4"}).url == url(sheet)
        assert "The clock stands still" in page(client.post(url(sheet), {drop: "4"}))
        assert not Answer.objects.exists()

    def test_is_refused_once_none_is_left(self, site, sheet):
        client = site.client("ada")
        client.post(url(sheet, "pause"))
        with time_machine.travel(AT + HOUR / 2, tick=False):
            client.post(url(sheet, "pause"), {"end": "1"})
            assert "No break time is left" in page(client.post(url(sheet, "pause"), follow=True))

    def test_after_the_end_leads_to_the_result(self, site, sheet):
        operations.hand_in(sitting=sheet, answers=right(sheet), at=AT)
        assert "passed" in page(site.client("ada").post(url(sheet, "pause"), follow=True))

    def test_that_begins_between_page_and_answer_is_shown(self, site, sheet, drop, monkeypatch):
        """Another device takes the break after this page has looked."""
        held = Sitting.objects.select_related("issue__paper", "person__employer").get()
        operations.begin_break(sitting=sheet, at=AT)
        for name in ("sitting_for", "own_sitting_for"):
            monkeypatch.setattr(f"training.quizzes.access.{name}", lambda viewer, pk: held)
        assert site.client("ada").post(url(sheet), {drop: "4"}).url == url(sheet)
        assert site.client("ada").post(url(sheet, "review"), {"empties_meant": "on"}).url == url(sheet)


class TestReview:
    def test_lists_what_is_empty_and_flagged_and_leads_there(self, site, sheet, drop):
        client = site.client("ada")
        client.post(url(sheet, "keep"), hidden(client, sheet) | {drop: "4", "flag-1": "on"})
        body = page(client.get(url(sheet, "review")))
        assert "<dt>Empty</dt><dd>4</dd>" in body
        assert "<dt>Flagged</dt><dd>1</dd>" in body
        assert one(sheet, 1) in body

    def test_says_that_nothing_is_empty(self, site, sheet):
        client = site.client("ada")
        client.post(url(sheet, "keep"), fields(sheet, right(sheet)))
        assert "Every question has an answer, and none is flagged." in page(client.get(url(sheet, "review")))

    def test_tells_what_cannot_be_read_before_anything_is_handed_in(self, site, sheet, drop):
        client = site.client("ada")
        sent = fields(sheet, right(sheet)) | {drop: "12,,5 abc"}
        client.post(url(sheet, "keep"), sent)
        body = " ".join(page(client.get(url(sheet, "review"))).split())
        assert "<dt>Cannot be read</dt><dd>1</dd>" in body
        assert "“12,,5 abc” cannot be read as a number. The signs between the digits of 12,,5 do not fit." in body
        assert f'href="{one(sheet, place(sheet, "drop"))}"' in body
        assert "<title>Error:" not in body
        assert "Every question has an answer" not in body
        assert Answer.objects.get(item__position=place(sheet, "drop")).given == {"answer": "12,,5 abc"}
        client.post(url(sheet, "keep"), hidden(client, sheet) | sent | {drop: "4.2"})
        assert "Cannot be read" not in page(client.get(url(sheet, "review")))

    def test_tells_of_lines_without_a_place_of_their_own(self, site, sheet):
        client, order = site.client("ada"), f"q{place(sheet, 'order')}-answer"
        client.post(url(sheet, "keep"), fields(sheet, right(sheet)) | {f"{order}-a": "2", f"{order}-b": "2"})
        body = page(client.get(url(sheet, "review")))
        assert "Give every line a place of its own" in body
        assert "as a number" not in body

    def test_leads_to_what_cannot_be_read(self, site, sheet, drop):
        client = site.client("ada")
        client.post(url(sheet, "keep"), fields(sheet, right(sheet)) | {drop: "four"})
        body = page(client.post(url(sheet, "review")))
        assert "<title>Error:" in body
        assert "These answers cannot be read." in body
        assert f'href="{one(sheet, place(sheet, "drop"))}"' in body
        sheet.refresh_from_db()
        assert sheet.handed_in_at is None

    def test_hands_in_what_was_kept_when_the_time_is_over(self, site, sheet):
        with time_machine.travel(AT + 3 * HOUR, tick=False):
            site.client("ada").force_login(site.ada)
            assert site.client("ada").get(url(sheet, "review")).url == url(sheet)
        sheet.refresh_from_db()
        assert sheet.handed_in_at == AT + HOUR * 1.5

    def test_is_nobody_elses(self, site, sheet):
        assert site.client("tess").get(url(sheet, "review")).status_code == 404
        assert site.client("ben").post(url(sheet, "review"), {}).status_code == 404


DATA = (DatumSpec(says="Density", symbol="ρ", value="7850", unit="kg/m³", source="EN 13674-1"),)


class TestDataSheet:
    def test_prints_each_value_with_its_unit_and_source(self, site, theory):
        operations.load_papers([paper(version=2, data=DATA)], at=AT)
        sheet = operations.open_sitting(person=site.ada, paper=theory, seed="s1", at=AT)
        for where in (url(sheet), one(sheet, 1), "/papers/bonding-theory/data/"):
            body = page(site.client("ada").get(where))
            assert "Density (ρ)" in body
            assert "7850\N{NO-BREAK SPACE}kg/m³" in body
            assert "EN 13674-1" in body

    def test_says_when_there_is_none(self, site):
        assert "This paper has no data sheet" in page(site.client("ada").get("/papers/bonding-theory/data/"))


class TestStart:
    URL = "/papers/bonding-theory/start/"

    def test_tells_the_time_and_breaks_that_were_settled_but_no_reason(self, site, sheet):
        operations.hand_in(sitting=sheet, answers=right(sheet), at=AT)
        body = page(site.client("ada").get(self.URL))
        assert "90 minutes" in body
        assert "breaks of 20 minutes in all" in body
        assert "move about" not in body + page(site.client("ada").get(url(sheet)))

    def test_waits_for_the_invigilator_and_says_who_confirmed(self, site, theory):
        operations.load_papers([paper(version=2, invigilated=True)], at=AT)
        client = site.client("ada")
        body = page(client.post(self.URL, AGREED))
        # First of all: on a phone the end of the page is two screens down.
        said = body.index("You have agreed to the rules. Now call a trainer")
        assert said < body.index(reverse("invigilation:here", args=["bonding-theory"])) < body.index("Before you start")
        operations.admit(admission=Admission.objects.get(), by=site.tess, trained=False, at=AT, on=ON)
        body = page(client.get(self.URL))
        said = body.index("Tess Trainer confirmed who you are.")
        # Agreed to once, the rules are not to be ticked anew: the button stands beside what was just told.
        assert said < body.index("I keep to the rules: start the paper now") < body.index("Before you start")
        assert "I have read these rules" not in body
        assert client.post(self.URL, AGREED).url == url(Sitting.objects.get())

    def test_names_the_topics_that_are_sat_again(self, site, theory):
        operations.load_papers([paper(version=2, part_months=6, waits_days=())], at=AT)
        sheet = operations.open_sitting(person=site.ada, paper=theory, seed="s1", at=AT)
        answers = right(sheet)
        del answers[1]
        operations.hand_in(sitting=sheet, answers=answers, at=AT)
        body = page(site.client("ada").get(self.URL))
        assert "You sit again only what fell short: safety." in body
        assert "12 minutes" in body
        assert "These fell short: safety." in page(site.client("ada").get(url(sheet)))

    def test_sends_to_retraining_where_the_paper_asks_for_it(self, site, theory):
        operations.load_papers([paper(version=2, retraining_first=True, waits_days=())], at=AT)
        for seed in range(4):
            sitting = operations.open_sitting(person=site.ada, paper=theory, seed=str(seed), at=AT)
            operations.hand_in(sitting=sitting, answers={}, at=AT)
        body = page(site.client("ada").post(self.URL, AGREED))
        assert "retraining comes first. Ask your trainer, who records it here." in body
        assert "Retraining comes first" in page(site.client("ada").get("/papers/"))


class TestStaff:
    URL = "/papers/arrangements/"

    def post(self, site, act, **sent):
        return site.client("tess").post(self.URL, {"act": act} | {f"{act}-{name}": one for name, one in sent.items()})

    def test_settles_time(self, site, theory):
        sent = {"person": site.ada.pk, "paper": theory.pk, "factor": "1.25", "reason": "Reads slowly."}
        assert self.post(site, "time", **sent).status_code == 302
        settled = Accommodation.objects.get()
        assert (settled.factor, settled.break_minutes, settled.decided_by) == (Decimal("1.25"), 0, site.tess)
        body = page(site.client("tess").get(self.URL))
        assert "Reads slowly." in body
        assert '<td data-label="Times">1.25</td>' in body

    def test_records_retraining(self, site, theory):
        sent = {"person": site.ada.pk, "paper": theory.pk, "ended_on": "2026-11-24"}
        assert self.post(site, "retrained", **sent).status_code == 302
        assert Retraining.objects.get().said_by == site.tess
        assert "stated by Tess Trainer" in page(site.client("tess").get(self.URL))

    @pytest.mark.parametrize(
        ("field", "value", "words"),
        [
            ("time-factor", "0.5", "Give a number from 1 to 3"),
            ("time-factor", "much", "Give a number from 1 to 3"),
            ("time-reason", "", "Give the reason in a few words."),
            ("time-break_minutes", "x", "Give whole minutes from 0 to 120."),
            ("time-person", "", "Choose a person."),
            ("retrained-paper", "", "Choose a paper."),
            ("retrained-ended_on", "2026-11-26", "not in the future"),
        ],
    )
    def test_is_told_what_is_wrong_beside_the_field(self, site, theory, field, value, words):
        act, _dash, name = field.partition("-")
        sent = {"person": site.ada.pk, "paper": theory.pk, "factor": "1.25", "reason": "r", "ended_on": "2026-11-24"}
        body = page(self.post(site, act, **sent | {name: value}))
        assert words in body
        assert "<title>Error:" in body

    def test_hears_why_nothing_was_settled(self, site, theory, sheet):
        sent = {"person": site.ada.pk, "paper": theory.pk, "factor": "2", "reason": "r"}
        assert "never during one" in page(self.post(site, "time", **sent))

    def test_offers_no_one_to_themself(self, site, theory):
        sent = {"person": site.tess.pk, "paper": theory.pk, "factor": "2", "reason": "r"}
        assert self.post(site, "time", **sent).status_code == 200
        assert not Accommodation.objects.exists()

    def test_is_the_trainers_and_administrators_alone(self, site):
        for where in (self.URL, "/papers/supply/"):
            statuses = {name: site.client(name).get(where).status_code for name in ("ada", "sol", "tess", "max", "rex")}
            assert statuses == {"ada": 403, "sol": 403, "tess": 200, "max": 200, "rex": 403}

    def test_reads_which_cell_is_short(self, site, theory):
        bank.load_questions([], at=AT)
        body = page(site.client("tess").get("/papers/supply/"))
        assert "safety, know: 1 question more" in body
        assert "This paper cannot be put together now." in page(site.client("ada").get("/papers/"))
        assert "Extra time and retraining" in page(site.client("tess").get("/papers/"))
