"""A wrong key: the questions' page shows it, a trainer corrects it, a second person applies it, candidates are told."""

from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from certs.management.replay import Company
from tests.journeys.walk import Site
from tests.training.quizzes.pool import KINDS, answer, paper, question, sides
from training.bank.models import Question, QuestionVersion
from training.quizzes import operations
from training.quizzes.models import Paper, PaperIssue, Sitting, SittingItem

IN_CHARGE, FOREMAN = "The person in charge of the isolation", "The foreman"
WHO = ("moira", "tomas", "ines", "olu", "pia")
# As its author slipped: the line below the right one is ticked.
PLANTED = [
    {"text": IN_CHARGE, "says": "A person is taken for a paper."},
    {"text": FOREMAN, "right": True},
    {"text": "Nobody", "says": "A quiet line is taken for a dead one.", "unsafe": True},
]


def plant(company: Company) -> Paper:
    """Put a paper of five questions beside those of the content, one of them with a wrong key that must be right."""
    at = company.now - timedelta(days=30)
    for kind in KINDS:
        spec = question(kind, **({"option": PLANTED} if kind == "one" else {}), topic=f"{kind}-planted", steps=[])
        facts = {"kind": spec.kind, "topic": spec.topic, "level": spec.level, "safety": spec.safety}
        row = Question.objects.create(key=spec.key)
        QuestionVersion.objects.create(
            question=row, version=1, body=spec.as_json(), digest=spec.digest, loaded_at=at, **facts
        )
    planned = paper("planted")
    levels = {kind: question(kind).level for kind in KINDS}
    cells = [{"topic": f"{kind}-planted", "level": str(levels[kind]), "count": 1} for kind in KINDS]
    made = Paper.objects.create(slug="planted")
    body = planned.as_json() | {"title": "Isolation paper", "cells": cells}
    PaperIssue.objects.create(paper=made, version=1, title="Isolation paper", body=body, digest="1" * 64, loaded_at=at)
    return made


def truly(item: SittingItem) -> dict[str, object]:
    """Return what somebody who knows the work answers, whatever the key says."""
    if item.shown["key"] == "one-1":
        part = item.shown["parts"][0]
        return {part["name"]: next(one["id"] for one in part["options"] if one["text"] == IN_CHARGE)}
    return {part["name"]: answer(part) for part in sides(item)}


def sit(company: Company, planted: Paper, who: str) -> Sitting:
    """Sit the paper a few days ago, all right."""
    at = company.now - timedelta(days=5)
    sitting = operations.open_sitting(person=company.people[who], paper=planted, seed=who, at=at)
    answers = {item.position: truly(item) for item in sitting.items.all()}
    return operations.hand_in(sitting=sitting, answers=answers, at=at + timedelta(minutes=20))


def result(page: Page, sitting: Sitting) -> None:
    page.goto(f"/papers/sittings/{sitting.pk}/")


@pytest.mark.django_db(transaction=True)
class TestCorrectedKey:
    def test_is_found_put_right_and_told(self, site: Site) -> None:
        """Nobody passes by the wrong key; two people put it right; each candidate is told and has passed."""
        planted = plant(site.company)
        sittings = {who: sit(site.company, planted, who) for who in WHO}
        moira = site.enter("moira", width=360)
        result(moira, sittings["moira"])
        expect(moira.get_by_role("heading", level=1)).to_have_text("Isolation paper: not passed")

        iver = site.enter("iver")
        iver.goto("/questions/")
        iver.get_by_role("link", name="Isolation paper").click()
        row = iver.get_by_role("row").filter(has_text="one-1")
        expect(row).to_contain_text("Nobody has got this right so far")
        row.get_by_role("link").first.click()
        iver.get_by_role("link", name="Correct the key").click()
        iver.get_by_label("Other lines are right").check()
        iver.get_by_label(FOREMAN).uncheck()
        iver.get_by_label(IN_CHARGE).check()
        iver.get_by_label("Why the key is wrong").fill("The line below the right one was ticked.")
        iver.get_by_role("button", name="Propose the correction").click()
        expect(iver.get_by_role("main")).to_contain_text("You proposed this")
        expect(iver.get_by_role("button", name="Apply and mark these papers again")).to_have_count(0)
        assert iver.get_by_role("row").filter(has_text="now passed").count() == len(WHO)
        result(moira, sittings["moira"])
        expect(moira.get_by_role("heading", level=1)).to_have_text("Isolation paper: not passed")

        nadia = site.enter("nadia")
        nadia.get_by_role("link", name="Corrections of keys to apply").click()
        nadia.get_by_role("link", name="one-1").click()
        changes = nadia.get_by_role("table", name="The result changes")
        expect(changes.get_by_role("row").filter(has_text="Moira Tarn")).to_contain_text("now passed")
        nadia.get_by_role("button", name="Apply and mark these papers again").click()
        expect(nadia.get_by_role("main")).to_contain_text("Decided by")

        moira.goto("/")
        moira.get_by_role("region", name="Papers marked again").get_by_role("link", name="Isolation paper").click()
        expect(moira.get_by_role("heading", level=1)).to_have_text("Isolation paper: passed")
        expect(moira.get_by_role("main")).to_contain_text("4 of 5 before, 5 of 5 since")
        expect(moira.get_by_role("main")).to_contain_text("Not passed before, passed since.")
        expect(moira.get_by_role("main")).to_contain_text("The line below the right one was ticked.")
        before = Sitting.objects.get(pk=sittings["moira"].pk)
        assert (before.passed, before.earned_numerator) == (False, 4)

    def test_a_candidate_asks_and_reads_the_answer(self, site: Site) -> None:
        """Asked on a phone, taken by someone without a part in it, answered with a new mark beside the old."""
        planted = plant(site.company)
        sitting = sit(site.company, planted, "moira")
        moira = site.enter("moira", width=360)
        result(moira, sitting)
        moira.get_by_role("link", name="Ask for it to be looked at again").click()
        place = sitting.items.get(question_version__question__key="one-1").position
        moira.get_by_label("What is to be looked at again?").select_option(str(place))
        moira.get_by_label("Why?").fill("The person in charge hands the line over, not the foreman.")
        moira.get_by_role("button", name="Ask").click()
        expect(moira.get_by_role("main")).to_contain_text("asked")

        nadia = site.enter("nadia")
        nadia.goto("/reviews/")
        nadia.get_by_role("link", name="Moira Tarn").click()
        nadia.get_by_role("button", name="I will look at it").click()
        nadia.get_by_label("Yes", exact=True).check()
        nadia.get_by_label("New mark").select_option("1")
        nadia.get_by_label("Answer to the candidate").fill("You are right: the key names the wrong person.")
        nadia.get_by_role("button", name="Send the answer").click()
        expect(nadia.get_by_role("main")).to_contain_text("answered")

        moira.reload()
        expect(moira.get_by_role("main")).to_contain_text("Your paper had 4 of 5 marks and now has 5.")
        expect(moira.get_by_role("main")).to_contain_text("It is now passed.")
        expect(moira.get_by_role("main")).to_contain_text("the key names the wrong person")
        assert timezone.now() - Sitting.objects.get(pk=sitting.pk).remarks.get().at < timedelta(hours=1)
