"""Who confirms the identity of a candidate: a trainer who did not train them, from a list or on their device."""

from datetime import date, timedelta

import pytest
import time_machine
from django.core.cache import cache
from django.urls import reverse

from certs.invigilation import operations, queries
from certs.schemes.models import Scheme, TrainingAct
from tests.cast import AT, ON, PASSWORD, Cast
from tests.training.quizzes.pool import paper, questions
from tests.training.reply import page
from training.bank.operations import load_questions
from training.people.models import Person
from training.quizzes import operations as quizzes
from training.quizzes.models import Admission, Paper, Retraining, Sitting

LIST = "/invigilation/"
HERE = "/invigilation/bonding-theory/here/"


@pytest.fixture
def site(cast: Cast):
    """The cast, with ada waiting to sit an invigilated paper."""
    load_questions(questions(), at=AT)
    quizzes.load_papers([paper(invigilated=True), paper("lead-theory")], at=AT)
    with pytest.raises(quizzes.NotAdmitted):
        quizzes.open_sitting(person=cast.ada, paper=Paper.objects.get(slug="bonding-theory"), seed="s", at=AT)
    cache.clear()
    with time_machine.travel(AT, tick=False):
        yield cast


@pytest.fixture
def waiting(site) -> Admission:
    return Admission.objects.get()


def train(trainer, candidate, ended_on):
    scheme, _made = Scheme.objects.get_or_create(slug="rail-bonds")
    TrainingAct.objects.create(
        scheme=scheme, trainer=trainer, candidate=candidate, ended_on=ended_on, recorded_at=AT
    )  # fmt: skip


def sent(name="tess", word=PASSWORD):
    return {"username": name, "password": word, "seen": "on"}


class TestTrained:
    @pytest.mark.parametrize(("ended_on", "barred"), [(date(2024, 11, 26), True), (date(2024, 11, 25), False)])
    def test_bars_for_24_months(self, site, ended_on, barred):
        """As for examiners: not within two years of the end of training (ISO/IEC 17024; from memory)."""
        train(site.tess, site.ada, ended_on)
        assert (site.ada.pk in queries.trained_by(site.tess, [site.ada.pk], on=ON)) is barred
        assert queries.trained_by(site.olga, [site.ada.pk], on=ON) == frozenset()

    def test_counts_retraining(self, site):
        theory = Paper.objects.get(slug="bonding-theory")
        Retraining.objects.create(person=site.ada, paper=theory, ended_on=ON, said_by=site.tess, recorded_at=AT)
        assert queries.trained_by(site.tess, [site.ada.pk, site.ben.pk], on=ON) == {site.ada.pk}

    def test_is_refused_and_another_is_not(self, site, waiting):
        train(site.tess, site.ada, ON)
        with pytest.raises(operations.NotArranged, match="You trained this candidate"):
            operations.admit(admission=waiting, by=site.tess, at=AT, on=ON)
        assert operations.admit(admission=waiting, by=site.olga, at=AT, on=ON).invigilator == site.olga


class TestList:
    def test_shows_who_waits_and_confirms_them(self, site, waiting):
        client = site.client("tess")
        body = page(client.get(LIST))
        assert "Confirm that this is Ada Crew" in body
        assert "Theory paper; agreed to the rules on 25 Nov 2026, 09:00" in body
        assert client.post(reverse("invigilation:admit", args=[waiting.pk])).url == LIST
        waiting.refresh_from_db()
        assert waiting.invigilator == site.tess
        assert "Confirmed by Tess Trainer" in page(client.get(LIST))

    def test_confirms_again_once_the_half_hour_is_over(self, site, waiting):
        """Who was called away after the confirmation is not stuck at the door."""
        client = site.client("tess")
        client.post(reverse("invigilation:admit", args=[waiting.pk]))
        with time_machine.travel(AT + timedelta(minutes=31), tick=False):
            body = page(client.get(LIST))
            assert "Confirmed by" not in body
            assert "Confirm that this is Ada Crew" in body
            assert "Confirm who sits down" in page(client.get("/"))

    def test_is_named_on_the_trainers_home_page(self, site, waiting):
        train(site.olga, site.ada, ON)
        told = '<a href="/invigilation/">Candidates to confirm before their paper</a></span> <strong class="number">{}<'
        tess = page(site.client("tess").get("/"))
        assert told.format(1) in tess
        assert '<a class="btn btn-primary" href="/invigilation/">Confirm who sits down</a>' in tess
        olga = page(site.client("olga").get("/"))
        assert told.format(0) in olga
        assert "Confirm who sits down" not in olga
        assert "Candidates to confirm" not in page(site.client("max").get("/"))

    def test_says_whose_trainer_one_was(self, site, waiting):
        train(site.tess, site.ada, ON)
        client = site.client("tess")
        assert "another trainer confirms" in page(client.get(LIST))
        body = page(client.post(reverse("invigilation:admit", args=[waiting.pk]), follow=True))
        assert "You trained this candidate" in body

    def test_leaves_out_papers_without_an_invigilator(self, site):
        lead = Paper.objects.get(slug="lead-theory")
        Admission.objects.create(person=site.ben, paper=lead, agreed_at=AT)
        assert "Ben Crew" not in page(site.client("tess").get(LIST))

    def test_says_that_nobody_waits(self, site, waiting):
        waiting.delete()
        assert "Nobody waits." in page(site.client("tess").get(LIST))

    def test_is_for_trainers(self, site, waiting):
        for name in ("ada", "ben", "sol", "max", "quin"):
            assert site.client(name).get(LIST).status_code == 403
            assert site.client(name).post(reverse("invigilation:admit", args=[waiting.pk])).status_code == 403

    def test_knows_no_admission_that_is_used(self, site, waiting):
        operations.admit(admission=waiting, by=site.olga, at=AT, on=ON)
        quizzes.open_sitting(person=site.ada, paper=waiting.paper, seed="s", at=AT)
        assert site.client("tess").post(reverse("invigilation:admit", args=[waiting.pk])).status_code == 404


class TestHere:
    def test_takes_the_trainers_own_password_on_the_candidates_device(self, site, waiting):
        client = site.client("ada")
        assert "signed in as Ada Crew" in page(client.get(HERE))
        assert client.post(HERE, sent()).url == "/papers/bonding-theory/start/"
        waiting.refresh_from_db()
        assert (waiting.invigilator, waiting.admitted_at) == (site.tess, AT)
        assert "Ada Crew" in page(client.get("/")) or client.get("/").status_code == 200

    def test_signs_nobody_in(self, site):
        client = site.client("ada")
        client.post(HERE, sent())
        assert client.session["_auth_user_id"] == str(site.ada.pk)

    @pytest.mark.parametrize(
        ("name", "word", "says"),
        [
            ("tess", "wrong", "do not belong together"),
            ("nobody", PASSWORD, "do not belong together"),
            ("max", PASSWORD, "Only a trainer"),
            ("ada", PASSWORD, "their own identity"),
            ("", PASSWORD, "Type your own user name."),
            ("tess", "", "it is your signature"),
        ],
    )
    def test_refuses_anyone_else_in_words(self, site, waiting, name, word, says):
        body = page(site.client("ada").post(HERE, sent(name, word)))
        assert says in body
        assert "<title>Error:" in body
        waiting.refresh_from_db()
        assert waiting.invigilator is None

    def test_refuses_who_trained_the_candidate(self, site, waiting):
        train(site.tess, site.ada, ON)
        assert "You trained this candidate" in page(site.client("ada").post(HERE, sent()))

    def test_refuses_a_closed_account(self, site, waiting):
        Person.objects.filter(pk=site.tess.pk).update(is_active=False)
        assert "do not belong together" in page(site.client("ada").post(HERE, sent()))

    def test_stops_guessing(self, site, waiting):
        """The right password is refused too once too many were tried in a minute."""
        client = site.client("ada")
        for number in range(10):
            client.post(HERE, sent(word=f"guess {number}"))
        assert "do not belong together" in page(client.post(HERE, sent()))
        waiting.refresh_from_db()
        assert waiting.invigilator is None

    def test_wants_the_candidate_to_have_agreed_first(self, site, waiting):
        assert site.client("ben").get(HERE).status_code == 404
        assert site.client("ada").get("/invigilation/lead-theory/here/").status_code == 404

    def test_lets_the_candidate_start_for_half_an_hour(self, site, waiting):
        client = site.client("ada")
        client.post(HERE, sent())
        with time_machine.travel(AT + timedelta(minutes=29), tick=False):
            client.post("/papers/bonding-theory/start/", {"agreed": "on"})
        assert Sitting.objects.get().admission == waiting
