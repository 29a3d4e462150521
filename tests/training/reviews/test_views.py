"""The pages: a trainer corrects, a second person applies, a candidate asks and reads the answer."""

import pytest
from django.urls import reverse

from tests.training.quizzes.pool import place
from tests.training.reply import page
from tests.training.reviews.conftest import FOREMAN
from training.bank.models import Correction
from training.quizzes.models import Remark
from training.reviews.models import Appeal

WHY = "The rule book names the foreman."


def url(name, *args):
    return reverse(f"reviews:{name}", args=args)


def propose(site, **data):
    data = {"what": "answer", "right-answer": ["0", "1"], "reason": WHY} | data
    return site.client("tess").post(url("correct", "one-1", 1), data)


class TestCorrect:
    def test_shows_the_key_as_it_stands(self, site):
        """Every line of the author, those of the key ticked, and the way out of taking the question out."""
        body = page(site.client("tess").get(url("correct", "one-1", 1)))
        assert body.partition("<main")[2].count("checked") == 1
        assert "Take the question out" in body

    @pytest.mark.parametrize("key", ["drop-1", "chain-1", "several-1", "order-1"])
    def test_is_there_for_every_kind(self, site, key):
        """A number can be wider, an order another."""
        assert "everyone gets its mark" in page(site.client("tess").get(url("correct", key, 1)))

    def test_proposes_and_a_second_person_applies(self, site, sit):
        """Both see the list; only the second has the button, and both names stay."""
        sit(site.ada)
        sit(site.ben, one=FOREMAN)
        sent = propose(site)
        held = Correction.objects.get()
        assert sent.url == url("correction", held.pk)
        body = page(site.client("tess").get(sent.url))
        assert "Ben Crew" in body
        assert "now passed" in body
        assert "You proposed this" in body
        assert "Apply and mark" not in body
        shown = site.client("max").get(sent.url)
        digest = shown.context["page"].digest
        assert "Apply and mark" in page(shown)
        site.client("max").post(url("apply", held.pk), {"digest": digest})
        assert Remark.objects.count() == 2
        body = page(site.client("tess").get(sent.url))
        assert "Max Administrator" in body
        assert "now passed" in body
        assert "papers marked again: 2, results changed: 1" in page(site.client("max").get(url("index")))

    def test_says_when_the_list_changed_since(self, site, sit):
        """Nothing is applied that was not on the page."""
        propose(site)
        body = page(
            site.client("max").post(url("apply", Correction.objects.get().pk), {"digest": "other"}, follow=True)
        )
        assert "Look at the list again" in body
        assert Correction.objects.get().applied is None

    @pytest.mark.parametrize(
        ("data", "says"),
        [
            ({"what": ""}, "Choose what is to be done"),
            ({"reason": ""}, "Say why the key is wrong"),
            ({"right-answer": []}, "tick at least one line"),
            ({"right-answer": ["0"]}, "says already"),
        ],
    )
    def test_says_what_to_put_right(self, site, data, says):
        """Nothing typed is lost."""
        body = page(propose(site, **data))
        assert says in body
        assert WHY in body or "reason" in data
        assert not Correction.objects.exists()

    def test_reads_widths_with_a_comma_and_says_what_is_no_number(self, site):
        """Widths are kept exactly."""
        name = "absolute-answer"
        client = site.client("tess")
        for typed in ("wide", "NaN", "1e99"):
            data = {"what": "answer", name: typed, "relative-answer": "2", "reason": WHY}
            assert "Write a number" in page(client.post(url("correct", "drop-1", 1), data))
        client.post(url("correct", "drop-1", 1), {"what": "answer", name: "0,5", "relative-answer": "2", "reason": WHY})
        assert (
            Correction.objects.get().change | {"absolute": "0.5", "relative": "0.02"} == Correction.objects.get().change
        )

    def test_orders_lines_by_their_places(self, site):
        """Two lines in one place are asked about."""
        places = {f"place-answer-{n}": place for n, place in enumerate("213")}
        client, data = site.client("tess"), {"what": "answer", "reason": WHY}
        body = page(client.post(url("correct", "order-1", 1), data | places | {"place-answer-1": "2"}))
        assert "a place of its own" in body
        client.post(url("correct", "order-1", 1), data | places)
        assert Correction.objects.get().change["lines"] == ["Set the earth", "Grind", "Fire"]

    def test_is_taken_back_or_refused_for_a_reason(self, site):
        """The reason stays on the page."""
        propose(site, what="drop")
        pk = Correction.objects.get().pk
        assert "Say why it is not applied" in page(site.client("tess").post(url("refuse", pk), {}))
        body = page(site.client("tess").post(url("refuse", pk), {"refusal": "I misread it."}, follow=True))
        assert "I misread it." in body
        assert "not applied" in page(site.client("max").get(url("index")))

    def test_is_not_there_for_a_question_nobody_knows(self, site):
        """Nor a correction."""
        assert site.client("tess").get(url("correct", "none", 1)).status_code == 404
        assert site.client("tess").get(url("correction", 7)).status_code == 404


class TestAppeal:
    @pytest.fixture
    def missed(self, site, sit):
        """Ben's paper, not passed because of one question."""
        return sit(site.ben, one=FOREMAN)

    def ask(self, site, missed, about=None):
        about = str(place(missed, "one")) if about is None else about
        return site.client("ben").post(url("paper", missed.pk), {"about": about, "reason": "He had the paper."})

    def test_is_asked_from_the_result(self, site, missed):
        """The result leads to the form; the candidate then sees where it stands."""
        assert url("paper", missed.pk) in page(site.client("ben").get(reverse("quizzes:sitting", args=[missed.pk])))
        assert "You may ask until" in page(site.client("ben").get(url("paper", missed.pk)))
        sent = self.ask(site, missed)
        body = page(site.client("ben").get(sent.url))
        assert "asked" in body
        assert "line is dead" not in body
        assert "I will look at it" not in body
        assert "asked" in page(site.client("ben").get(url("paper", missed.pk)))

    def test_says_what_is_missing_and_when_it_is_too_late(self, site, missed):
        """The sentence stands beside the field."""
        assert "Choose what is to be looked at again" in page(self.ask(site, missed, about=""))
        assert not Appeal.objects.exists()

    def test_is_taken_and_answered_by_someone_else(self, site, missed):
        """The answer is a letter with both marks; the result says so too."""
        self.ask(site, missed)
        appeal = Appeal.objects.get()
        client = site.client("max")
        assert "I will look at it" in page(client.get(url("appeal", appeal.pk)))
        body = page(client.post(url("take", appeal.pk), follow=True))
        assert "Send the answer" in body
        assert "Choose one of the two" in page(client.post(url("answer", appeal.pk), {"words": "Yes."}))
        data = {"upheld": "yes", "share-answer": "1", "words": "Both are named."}
        slip = {"upheld": "yes", "share-answer": "0"}
        assert "You say yes, and the mark stays" in page(client.post(url("answer", appeal.pk), data | slip))
        assert "You say no, and the mark is another" in page(
            client.post(url("answer", appeal.pk), data | {"upheld": "no"})
        )
        client.post(url("answer", appeal.pk), data)
        body = page(site.client("ben").get(url("appeal", appeal.pk)))
        assert "Your paper had 4 of 5 marks and now has 5" in body
        assert "It is now passed" in body
        assert "Both are named." in body
        assert "line is dead" in body
        result = page(site.client("ben").get(reverse("quizzes:sitting", args=[missed.pk])))
        assert "4 of 5 before, 5 of 5 since" in result
        assert "Not passed before, passed since" in result

    def test_about_the_whole_paper_is_answered_in_words(self, site, missed):
        """No question, no new mark."""
        self.ask(site, missed, about="whole")
        appeal = Appeal.objects.get()
        site.client("max").post(url("take", appeal.pk))
        site.client("max").post(url("answer", appeal.pk), {"upheld": "no", "words": "It was quiet."})
        assert "The mark stays" in page(site.client("ben").get(url("appeal", appeal.pk)))
        assert "how the paper was held" in page(site.client("max").get(url("index")))

    def test_tells_who_had_a_part(self, site, missed, version):
        """A second taker and a corrector are told why not."""
        self.ask(site, missed)
        propose(site)
        appeal = Appeal.objects.get()
        assert "correcting the key" in page(site.client("tess").get(url("appeal", appeal.pk)))
        site.client("max").post(url("take", appeal.pk))
        assert "Somebody else looks" in page(site.client("dora").post(url("take", appeal.pk), follow=True))

    def test_is_nobody_elses(self, site, missed, sit):
        """Ada sees neither Ben's appeal nor his form; an open paper has none."""
        self.ask(site, missed)
        ada = site.client("ada")
        assert ada.get(url("appeal", Appeal.objects.get().pk)).status_code == 404
        assert ada.get(url("paper", missed.pk)).status_code == 404
        still_open = sit(site.ada, hand=False)
        assert ada.get(url("paper", still_open.pk)).status_code == 404
        for name in ("take", "answer"):
            assert ada.post(url(name, Appeal.objects.get().pk)).status_code == 403
        assert site.client("sol").get(url("index")).status_code == 403

    def test_closes_after_thirty_days(self, site, missed, time_machine):
        """The page says on which day it closed, and an answer sent all the same is refused."""
        time_machine.move_to("2026-12-26 09:00:00 +0000")
        assert "ended on" in page(site.client("ben").get(url("paper", missed.pk)))
        assert "The days in which to ask" in page(self.ask(site, missed))
