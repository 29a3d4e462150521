"""The page of a revision's questions over HTTP."""

import pytest

from tests.cast import AT, Cast
from tests.training.bridges.answers import right, sent
from tests.training.reply import page
from training.bridges.models import Bridge
from training.procedures.models import Module

URL = "/procedures/setup/questions/2/"


@pytest.fixture
def client(site: Cast):
    return site.client("ada")


class TestBridge:
    def test_says_first_what_is_asked(self, client):
        shown = page(client.get(URL))
        assert "answer its questions by 24 Jan 2027. After that their cards stop" in shown
        assert "Show the 2 questions" in shown
        assert not Bridge.objects.exists()

    def test_asks_tells_and_asks_again(self, client, site: Cast):
        assert client.post(URL).headers["Location"] == URL
        bridge = Bridge.objects.get()
        assert "Question 2 of 2" in page(client.get(URL))
        answer = page(client.post(URL, sent(right(bridge, but="drop-1"), 1)))
        assert "1 answer was not right" in answer
        assert "U = I R" in answer
        assert "Question 1 of 1" in answer
        bridge.refresh_from_db()
        answer = client.post(URL, sent(right(bridge), 2), follow=True).text
        assert "Every question was answered right" in answer
        assert "You have still to say that you have read it." in answer
        client.post("/procedures/setup/read/", {"revision": "2"})
        assert "nothing more is asked of you" in client.get(URL).text

    def test_keeps_what_cannot_be_read_beside_its_sentence(self, client):
        client.post(URL)
        bridge = Bridge.objects.get()
        answer = client.post(URL, sent(right(bridge), 1) | {"q1-answer": "five-ish"}).text
        assert "five-ish" in answer
        assert "is-invalid" in answer
        assert "<title>Error:" in answer

    @pytest.mark.parametrize("turn", ["0", "7", "one", "9" * 5000])
    def test_takes_a_turn_once_whatever_is_sent(self, client, turn):
        client.post(URL)
        assert "answered already" in client.post(URL, {"turn": turn}, follow=True).text
        assert Bridge.objects.get().turn == 1

    def test_sends_no_key_before_it_is_answered(self, client):
        client.post(URL)
        bridge = Bridge.objects.get()
        shown = client.get(URL).text
        for part in bridge.asked[0]["sealed"]["parts"]:
            assert str(part["working"][0]) not in shown
            assert f"{part['shown']} V" not in shown

    def test_is_there_only_where_a_revision_in_use_asks(self, client):
        for url in ("/procedures/setup/questions/1/", "/procedures/setup/questions/3/", "/procedures/x/questions/2/"):
            assert client.get(url).status_code == 404
        Module.objects.update(retired_at=AT)
        assert client.get(URL).status_code == 404

    def test_is_named_on_the_page_of_the_procedure(self, client):
        shown = page(client.get("/procedures/setup/"))
        assert "Card holders read it and answer its questions by 24 Jan 2027." in shown
        assert f'href="{URL}"' in shown
        assert "questions/" not in page(client.get("/procedures/setup/?revision=1"))
