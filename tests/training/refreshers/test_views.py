"""The pages over HTTP, without JavaScript."""

from datetime import timedelta

import pytest

from tests.cast import ON, Cast
from tests.training.refreshers.answers import answered, right, sent
from tests.training.reply import page
from training.bank.models import Question
from training.refreshers.models import Drill, MailChoice

URL = "/refreshers/setup/"


@pytest.fixture
def client(site: Cast):
    return site.client("ada")


class TestIndex:
    def test_says_what_is_due_and_what_is_not_begun(self, client, site: Cast):
        answered(site.ada, "setup", ON - timedelta(days=20))
        shown = page(client.get("/refreshers/"))
        assert "Due now" in shown
        assert "since 13 Nov 2026" in shown
        assert "Not begun" in shown

    def test_names_the_days_for_the_hand_and_their_source(self, client):
        shown = page(client.get("/refreshers/"))
        assert "no more than 64 days" in shown
        assert "Psychological Bulletin" in shown

    def test_never_shows_the_names_of_ratings(self, client, site: Cast):
        answered(site.ada, "setup", ON)
        for url in ("/refreshers/", URL):
            words = client.get(url).text.lower().split()
            assert not {"hard", "good", "easy"} & set(words)

    def test_keeps_the_choice_about_mail(self, client):
        answer = client.post("/refreshers/", {"wanted": "on"}, follow=True)
        assert "A mail will come" in answer.text
        assert "checked" in answer.text
        assert MailChoice.objects.get().wanted
        assert "No mail about refreshers" in client.post("/refreshers/", follow=True).text
        assert not MailChoice.objects.get().wanted

    def test_says_whom_to_ask_without_an_address(self, client, site: Cast):
        type(site.ada).objects.filter(pk=site.ada.pk).update(email="")
        assert "so no mail can be sent" in page(client.get("/refreshers/"))
        assert "Ask your administrator" in client.post("/refreshers/", {"wanted": "on"}, follow=True).text


class TestDrill:
    def test_asks_and_tells(self, client):
        assert "Show the 3 questions" in page(client.get(URL))
        assert not Drill.objects.exists()
        assert client.post(URL).headers["Location"] == URL
        drill = Drill.objects.get()
        asked = page(client.get(URL))
        assert "Question 3 of 3" in asked
        assert "What you leave empty counts as not known" in asked
        answer = page(client.post(URL, sent(right(drill, but=drill.keys[0]), drill), follow=True))
        assert "Not right" in answer
        assert "Working" in answer
        assert "Next time: tomorrow." in answer
        assert "to_sign" not in answer

    def test_says_that_all_was_right_and_with_help(self, client):
        client.post(URL)
        drill = Drill.objects.get()
        answer = page(client.post(URL, sent(right(drill), drill) | {"helped": "on"}, follow=True))
        assert "All right, with help." in answer
        drill.refresh_from_db()
        assert drill.outcome == "helped"

    def test_keeps_what_cannot_be_read_beside_its_sentence(self, client):
        client.post(URL)
        drill = Drill.objects.get()
        fields = sent(right(drill), drill)
        fields |= {next(name for name in fields if name.startswith("q1")): "five-ish", "helped": "on"}
        answer = client.post(URL, fields).text
        assert "five-ish" in answer
        assert "<title>Error:" in answer
        assert answer.count("checked") == 1

    def test_takes_the_answers_once(self, client):
        client.post(URL)
        drill = Drill.objects.get()
        client.post(URL, sent(right(drill), drill))
        assert "answered already" in client.post(URL, sent({}, drill), follow=True).text
        drill.refresh_from_db()
        assert drill.outcome == "right"

    def test_sends_no_key_before_it_is_answered(self, client):
        client.post(URL)
        shown = client.get(URL).text
        for asked in Drill.objects.get().asked:
            for part in asked["sealed"]["parts"]:
                assert str(part["working"][0]) not in shown

    def test_opens_nobody_elses(self, site: Cast, drill: Drill):
        assert site.client("ben").post(URL, sent({}, drill)).status_code == 404
        for number in ("", "x", "9" * 5000, "٣"):
            assert site.client("ada").post(URL, {"drill": number}).status_code == 404

    def test_is_not_there_for_a_topic_that_is_not(self, client):
        assert client.get("/refreshers/nowhere/").status_code == 404

    def test_says_that_there_is_nothing_to_ask(self, client):
        Question.objects.update(retired_at="2026-01-01T00:00Z")
        assert "no questions for practice on this topic yet" in page(client.post(URL, follow=True))

    def test_may_be_done_before_its_day(self, client, site: Cast):
        answered(site.ada, "setup", ON - timedelta(days=2))
        assert "It is not due yet: in 6 days, on 1 Dec 2026." in page(client.get(URL))
