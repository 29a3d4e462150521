"""Amending a procedure through the pages."""

import tomllib
from dataclasses import replace
from decimal import Decimal
from urllib.parse import urlencode

import pytest
from django.urls import reverse

from tests.cast import AT, Cast, person
from tests.training.amendments.conftest import CHANGED, MODULE
from tests.training.quizzes.pool import question
from tests.training.reply import page
from training.amendments import queries, rules
from training.amendments.models import Amendment
from training.amendments.rules import State
from training.bank.models import Question, QuestionVersion
from training.bank.operations import load_questions
from training.content.procedures import read_module
from training.ledger.models import Entry
from training.people.rules import Role
from training.procedures import operations as procedures
from training.procedures.models import Revision

BY_FILE = replace(MODULE, changed="By file.", purpose="Another purpose.")


def url(held: Amendment, name: str, *more: str) -> str:
    return reverse(f"amendments:{name}", args=[held.pk, *more])


def every_url(held: Amendment) -> list[str]:
    names = ("amendment", "parts", "add", "preview", "propose", "back", "discard", "approve", "refuse", "again")
    urls = [url(held, name) for name in names] + [url(held, name, "earth") for name in ("step", "move", "remove")]
    urls += [reverse(f"amendments:{name}", args=["setup"]) for name in ("begin", "toml")]
    return [reverse("amendments:index"), *urls]


class TestWhoMayAmend:
    @pytest.mark.parametrize(
        ("name", "status"),
        [("tess", 200), ("olga", 200), ("max", 200), ("sol", 403), ("ada", 403), ("rex", 403), ("nobody", 302)],
    )
    def test_trainers_and_administrators_of_the_body_look(self, site: Cast, proposed, name: str, status: int):
        """What is not in force yet is not for crews to work to."""
        for one in (reverse("amendments:index"), url(proposed, "amendment"), url(proposed, "preview")):
            assert site.client(name).get(one).status_code == status, one

    @pytest.mark.parametrize("name", ["ada", "sol", "rex", "tom"])
    def test_nobody_else_posts(self, site: Cast, proposed, name: str):
        """Nor the trainer of an employer."""
        site.tom = person("tom", "Tom", site.northmoor, Role.TRAINER)
        for one in every_url(proposed):
            answer = site.client(name).post(one, {"title": "x", "reason": "x", "move": "up"})
            assert answer.status_code in (403, 405), one
        assert Amendment.objects.get().state is State.PROPOSED
        assert Revision.objects.count() == 1

    def test_only_its_author_writes(self, site: Cast, begin):
        """A colleague looks; whoever approves has had no hand in it."""
        held = begin()
        for one in ("parts", "add", "propose", "back", "discard", "again"):
            assert site.client("olga").post(url(held, one)).status_code == 403
        for one in ("step", "move", "remove"):
            assert site.client("olga").post(url(held, one, "earth")).status_code == 403
        body = page(site.client("olga").get(url(held, "amendment")))
        assert "Add a step" not in body

    def test_nothing_there(self, site: Cast, begin):
        """404 for an author, 403 for others, so that they learn nothing."""
        held = begin()
        none = [reverse("amendments:amendment", args=[999]), url(held, "step", "none"), url(held, "remove", "none")]
        none += [reverse("amendments:toml", args=["none"])]
        for one in none:
            assert site.client("tess").get(one).status_code == 404
            assert site.client("ada").get(one).status_code == 403
        assert site.client("tess").post(reverse("amendments:begin", args=["none"])).status_code == 404
        assert site.client("tess").post(url(held, "again")).status_code == 404


class TestWriting:
    def test_from_the_list_to_the_crew(self, site: Cast, begin, send_step, send_parts, digest):
        """Tess amends, olga approves, ada reads again."""
        assert "Amend procedures" in page(site.client("tess").get(reverse("amendments:index")))
        held = begin()
        body = page(site.client("tess").get(url(held, "amendment")))
        assert "What changed and why: Say it in a sentence or two" in body
        assert "is kept" in page(send_step(held, hold="It does not rock, looked at twice."))
        assert "is kept" in page(send_parts(held, changed=CHANGED, stops="No permission\n\nWet gloves"))
        body = page(site.client("tess").get(url(held, "preview")))
        for seen in ("Propose it", CHANGED, "Wet gloves", "looked at twice", "drawings/leads.svg?revision=1"):
            assert seen in body
        assert "Approve" not in body
        body = page(site.client("tess").post(url(held, "propose"), follow=True))
        assert "Waits for approval" in body
        assert "Approve and put in force" in page(site.client("olga").get(url(held, "preview")))
        body = page(site.client("olga").post(url(held, "approve"), {"digest": digest(held)}, follow=True))
        assert "It is in force" in body
        held.refresh_from_db()
        made = held.revision
        assert (held.state, held.decided_by, held.decided_at) == (State.GRANTED, site.olga, AT)
        assert (made.number, made.changed, made.awaits_file) == (2, CHANGED, True)
        assert made.body["stops"] == ["No permission", "Wet gloves"]
        assert made.body["drawings"] == Revision.objects.get(number=1).body["drawings"]
        entry = Entry.objects.latest("seq")
        about = {"amendment": held.pk, "revision": made.pk, "digest": made.digest}
        assert (entry.act, entry.by, entry.about) == ("procedure revised", site.olga.pk, about)
        body = page(site.client("ada").get(reverse("procedures:module", args=["setup"])))
        assert "looked at twice" in body
        assert "To read" in body
        assert "Approved: revision 2" in page(site.client("tess").get(reverse("amendments:index")))

    def test_mistakes_are_kept_and_said_at_their_fields(self, site: Cast, begin, send_step):
        """Everything typed stands there again, however wrong."""
        held = begin()
        wrong = {"title": "", "why": " ", "figure-1-value": "a lot", "figure-1-unit": "ells", "figure-1-bound": ""}
        wrong |= {"figure-2-says": "A second one", "drawing": "none-such", "caution": "Mind <your> hands."}
        answer = send_step(held, **wrong)
        body = page(answer)
        assert "Error:" in body
        form = answer.context["form"]
        fields = {"title", "why", "drawing", "figure-1-value", "figure-1-unit", "figure-1-bound"}
        fields |= {f"figure-2-{name}" for name in ("bound", "value", "unit", "source")}
        assert set(form.errors) == fields
        for typed in ('value="a lot"', 'value="ells"', 'value="A second one"', "Mind &lt;your&gt; hands."):
            assert typed in body
        for link in [part.split('"')[0] for part in body.split('<li><a href="#')[1:]]:
            assert f'id="{link}"' in body, link
        body = page(site.client("tess").get(url(held, "amendment")))
        assert "ells" in body
        assert "mistakes are put right" in page(site.client("tess").get(url(held, "preview"), follow=True))
        assert "Put the mistakes right" in page(site.client("tess").post(url(held, "propose"), follow=True))
        held.refresh_from_db()
        assert held.state is State.WRITING

    def test_mistakes_of_the_whole(self, site: Cast, begin, send_parts):
        """The same reader as for files: each sentence at its field."""
        held = begin()
        wrong = {"title": "x" * 121, "purpose": "", "tools": "", "stops": "\n", "sources": "", "changed": ""}
        answer = send_parts(held, **wrong, demand="answer", within_days="soon", overdue="", questions="none-such")
        fields = {*wrong, "within_days", "overdue", "questions"}
        assert set(answer.context["form"].errors) == fields
        body = page(answer)
        assert "x" * 121 in body
        assert "No question in use has the key “none-such”." in body
        assert set(send_parts(held, demand="", within_days="7").context["form"].errors) >= {"demand"}

    def test_figures_come_and_go(self, site: Cast, begin, send_step):
        """An empty row is no figure; a comma is a point."""
        held = begin()
        row = {
            "says": "Rest voltage",
            "bound": "between",
            "value": "37,5",
            "value_to": "40",
            "unit": "V",
            "source": "x",
        }
        answer = send_step(held, act="more", **{f"figure-2-{name}": text for name, text in row.items()})
        assert answer.redirect_chain[-1][0].endswith("#more")
        assert 'name="figure-3-says"' in page(answer)
        held.refresh_from_db()
        assert rules.step_of(held.body, "earth")["figures"][1] == row
        assert queries.assembled(held)["steps"][1]["figures"][1] == {**row, "value": "37.5"}
        send_step(held, **{"figure-1-gone": "on"})
        held.refresh_from_db()
        assert [one["says"] for one in rules.step_of(held.body, "earth")["figures"]] == ["Rest voltage"]

    def test_steps_come_move_and_go(self, site: Cast, begin, send_parts):
        """A new step gets a name for good; up and down go one place."""
        held = begin()
        tess = site.client("tess")
        assert "Give the step a title" in page(tess.post(url(held, "add"), {"title": " "}))
        assert "no longer there" in page(tess.post(url(held, "add"), {"title": "Tug", "after": "none"}))
        body = page(tess.post(url(held, "add"), {"title": "Tug the plugs", "after": "pin"}, follow=True))
        assert "Step: Tug the plugs" in body
        held.refresh_from_db()
        assert [one["slug"] for one in held.body["steps"]] == ["pin", "tug-the-plugs", "earth", "fault-dead"]
        tess.post(url(held, "move", "earth"), {"move": "up"})
        tess.post(url(held, "move", "earth"), {"move": "sideways"})
        assert "Its text leaves" in page(tess.get(url(held, "remove", "pin")))
        assert "is taken out" in page(tess.post(url(held, "remove", "pin"), follow=True))
        held.refresh_from_db()
        assert [one["slug"] for one in held.body["steps"]] == ["earth", "tug-the-plugs", "fault-dead"]
        body = page(tess.get(url(held, "amendment")))
        assert "Write something here." in body
        for slug in ("earth", "tug-the-plugs", "fault-dead"):
            tess.post(url(held, "remove", slug))
        assert "a procedure has at least one" in page(tess.get(url(held, "amendment")))

    def test_a_drawing_no_step_shows_leaves_with_it(self, site: Cast, begin, send_step, send_parts, digest):
        """The files ask for that, and a trainer has no other way to take one out."""
        held = begin()
        send_step(held, drawing="")
        send_parts(held, changed=CHANGED)
        site.client("tess").post(url(held, "propose"))
        site.client("olga").post(url(held, "approve"), {"digest": digest(held)})
        assert Revision.objects.get(number=2).body["drawings"] == []

    def test_a_step_that_is_named_elsewhere_stays(self, site: Cast, begin, send_parts):
        """A question that sends people to a step would send them nowhere."""
        made = Question.objects.create(key="earth-first")
        facts = {"kind": "one", "topic": "setup", "level": "know", "digest": "-", "loaded_at": AT}
        QuestionVersion.objects.create(question=made, version=1, body={"steps": ["setup.earth"]}, **facts)
        held = begin()
        site.client("tess").post(url(held, "remove", "earth"))
        send_parts(held, changed=CHANGED)
        body = page(site.client("tess").get(url(held, "amendment")))
        assert "“Fit the earth” cannot be taken out: it is named by question earth-first" in body

    def test_one_at_a_time(self, site: Cast, begin):
        """A colleague who would begin another is led to the open one."""
        held = begin()
        body = page(site.client("olga").post(reverse("amendments:begin", args=["setup"]), follow=True))
        assert "Tess Trainer is amending this procedure already" in body
        assert Amendment.objects.get() == held

    def test_nothing_new_is_not_proposed(self, site: Cast, begin, send_parts):
        """Nobody is asked to read the same text again."""
        held = begin()
        send_parts(held, changed=CHANGED)
        assert "Nothing differs from revision 1" in page(site.client("tess").post(url(held, "propose"), follow=True))

    def test_what_is_proposed_stands(self, site: Cast, proposed, send_step, send_parts):
        """A page still open in another tab keeps what was typed, and says why it is not kept."""
        tess = site.client("tess")
        for answer in (send_step(proposed, caution="Mine."), send_parts(proposed, purpose="Mine.")):
            body = page(answer)
            assert "no longer being written" in body
            assert "Mine." in body
        for one in (
            url(proposed, "parts"),
            url(proposed, "add"),
            url(proposed, "step", "pin"),
            url(proposed, "remove", "pin"),
        ):
            assert "no longer being written" in page(tess.get(one, follow=True))
        assert "no longer being written" in page(tess.post(url(proposed, "add"), {"title": "Tug"}))
        assert "no longer being written" in page(tess.post(url(proposed, "move", "pin"), {"move": "down"}, follow=True))
        for one in (url(proposed, "remove", "pin"), url(proposed, "propose")):
            assert "no longer being written" in page(tess.post(one, follow=True))
        assert "yours again" in page(tess.post(url(proposed, "back"), follow=True))
        assert "is kept" in page(send_step(proposed, caution="Mine."))
        assert "Nothing more was recorded" in page(tess.post(url(proposed, "back"), follow=True))

    def test_is_thrown_away(self, site: Cast, begin):
        """Only after it was asked."""
        held = begin()
        assert "is lost" in page(site.client("tess").get(url(held, "discard")))
        assert "is thrown away" in page(site.client("tess").post(url(held, "discard"), follow=True))
        assert not Amendment.objects.exists()


class TestDeciding:
    def test_nobody_decides_on_their_own(self, site: Cast, proposed, digest):
        """Neither way, and whatever a hand-made POST says."""
        tess = site.client("tess")
        assert "Approve" not in page(tess.get(url(proposed, "preview")))
        body = page(tess.post(url(proposed, "approve"), {"digest": digest(proposed)}, follow=True))
        assert "Ask a second person" in body
        assert "Ask a second person" in page(tess.post(url(proposed, "refuse"), {"reason": "x"}, follow=True))
        proposed.refresh_from_db()
        assert proposed.state is State.PROPOSED

    def test_an_administrator_may_decide(self, site: Cast, proposed, digest):
        """Of the body."""
        assert "in force" in page(
            site.client("max").post(url(proposed, "approve"), {"digest": digest(proposed)}, follow=True)
        )

    def test_is_refused_for_a_reason_and_taken_up_again(self, site: Cast, proposed):
        """The text is not lost."""
        olga = site.client("olga")
        body = page(olga.post(url(proposed, "refuse"), {"reason": " "}))
        assert "Error:" in body
        assert "Say why it is refused" in body
        assert "It is refused" in page(olga.post(url(proposed, "refuse"), {"reason": "Say who looks."}, follow=True))
        entry = Entry.objects.latest("seq")
        about = {"amendment": proposed.pk, "module": proposed.module_id, "base": proposed.base_id}
        assert (entry.act, entry.by, entry.about) == ("amendment refused", site.olga.pk, about)
        assert "Say who looks." in page(site.client("tess").get(url(proposed, "amendment")))
        assert "Being written" in page(site.client("tess").post(url(proposed, "again"), follow=True))
        made = Amendment.objects.latest("pk")
        proposed.refresh_from_db()
        assert (made.body, made.what_changed, made.state) == (proposed.body, CHANGED, State.WRITING)
        assert "Nothing more was recorded" in page(site.client("tess").post(url(proposed, "discard"), follow=True))
        assert Revision.objects.count() == 1

    def test_the_text_that_was_seen(self, site: Cast, proposed, digest, send_step):
        """Taken back, changed and proposed again while the approver reads."""
        seen = digest(proposed)
        site.client("tess").post(url(proposed, "back"))
        send_step(proposed, caution="Another one.")
        site.client("tess").post(url(proposed, "propose"))
        body = page(site.client("olga").post(url(proposed, "approve"), {"digest": seen}, follow=True))
        assert "not the text you looked at" in body
        assert Revision.objects.count() == 1

    def test_the_second_of_two_is_told(self, site: Cast, proposed, digest):
        """And changes nothing."""
        seen = digest(proposed)
        site.client("olga").post(url(proposed, "approve"), {"digest": seen})
        body = page(site.client("max").post(url(proposed, "approve"), {"digest": seen}, follow=True))
        assert "Nothing more was recorded" in body
        assert Revision.objects.count() == 2

    def test_a_revision_from_the_files_in_between(self, site: Cast, proposed, digest, begin):
        """Approving would undo it."""
        seen = digest(proposed)
        procedures.load([BY_FILE], at=AT)
        body = page(site.client("olga").post(url(proposed, "approve"), {"digest": seen}, follow=True))
        assert "Revision 2 came into force while this was open" in body
        assert "A newer revision is in force" in body
        site.client("olga").post(url(proposed, "refuse"), {"reason": "Too late."})
        assert "Revision 2 came into force" in page(site.client("tess").post(url(proposed, "again"), follow=True))
        assert "Waits" not in page(site.client("tess").get(reverse("amendments:index")))

    def test_outrun_before_it_is_proposed(self, site: Cast, begin, send_step, send_parts):
        """Said as soon as it can be."""
        held = begin()
        send_step(held, caution="Another one.")
        send_parts(held, changed=CHANGED)
        procedures.load([BY_FILE], at=AT)
        assert "Revision 2 came into force" in page(site.client("tess").post(url(held, "propose"), follow=True))

    def test_what_no_longer_passes_its_check_can_be_refused(self, site: Cast, begin, send_step, send_parts):
        """A question it asks went out of use after it was proposed."""
        load_questions([question("one", pool="practice")], at=AT)
        held = begin()
        send_step(held, ask="one-1")
        send_parts(held, changed=CHANGED)
        site.client("tess").post(url(held, "propose"))
        load_questions([], at=AT)
        body = page(site.client("olga").get(url(held, "amendment")))
        assert "It no longer passes its check, so it cannot be approved." in body
        body = page(site.client("olga").post(url(held, "refuse"), {"reason": ""}))
        assert "Put this right" in body
        body = page(site.client("olga").post(url(held, "refuse"), {"reason": "The question is gone."}, follow=True))
        assert "It is refused" in body

    def test_a_procedure_taken_out_of_use(self, site: Cast, proposed, digest):
        """A revision would bring it back by the way."""
        seen = digest(proposed)
        procedures.load([], at=AT)
        body = page(site.client("olga").post(url(proposed, "approve"), {"digest": seen}, follow=True))
        assert "taken out of use" in body
        assert Revision.objects.count() == 1

    def test_what_it_asks_of_card_holders(self, site: Cast, begin, send_step, send_parts, digest):
        """Seen by the approver, and frozen with the revision."""
        held = begin()
        send_step(held, caution="Another one.")
        send_parts(held, changed=CHANGED, demand="read", within_days="14", overdue="stops")
        site.client("tess").post(url(held, "propose"))
        body = page(site.client("olga").get(url(held, "preview")))
        assert "read it again within 14 days; after that, the card stops." in body
        site.client("olga").post(url(held, "approve"), {"digest": digest(held)})
        made = Revision.objects.get(number=2)
        assert (made.demand, made.overdue, str(made.due_on)) == ("read", "stops", "2026-12-09")


class TestQuestionsAtHoldPoints:
    def test_are_asked_once_in_force(self, site: Cast, begin, send_step, send_parts, digest):
        """Kept in the text, shown as a difference, and asked in place."""
        load_questions([question("one", pool="practice")], at=AT)
        held = begin()
        send_step(held, ask="one-1")
        send_parts(held, changed=CHANGED)
        site.client("tess").post(url(held, "propose"))
        assert "Questions added at this hold point" in page(site.client("olga").get(url(held, "preview")))
        site.client("olga").post(url(held, "approve"), {"digest": digest(held)})
        assert Revision.objects.get(number=2).body["steps"][1]["ask"] == ["one-1"]
        body = page(site.client("ada").get(reverse("procedures:module", args=["setup"])))
        assert "Who says that the line is dead?" in body

    @pytest.mark.parametrize(
        ("asked", "says"),
        [
            ("none-such", "is no question&#x27;s key"),
            ("several-1", "is kept for papers"),
            ("one-1\none-1", "is written 2 times"),
        ],
    )
    def test_are_refused_beside_their_field(self, site: Cast, begin, send_step, asked: str, says: str):
        """Unknown, kept for papers, or asked twice."""
        load_questions([question("one", pool="practice"), question("several")], at=AT)
        held = begin()
        send_step(held, ask=asked)
        body = page(site.client("tess").get(url(held, "amendment")))
        assert says in body

    def test_need_a_hold_point(self, site: Cast, begin, send_step):
        """Nothing to hold, nothing to ask."""
        load_questions([question("one", pool="practice")], at=AT)
        answer = send_step(begin(), ask="one-1", hold="")
        assert "Error:" in page(answer)
        assert set(answer.context["form"].errors) == {"ask"}


class TestWrittenOut:
    def test_the_file_holds_the_revision(self, site: Cast, proposed, digest):
        """What is downloaded reads as the revision in force."""
        site.client("olga").post(url(proposed, "approve"), {"digest": digest(proposed)})
        assert "Not in the files yet" in page(site.client("tess").get(reverse("amendments:index")))
        answer = site.client("tess").get(reverse("amendments:toml", args=["setup"]))
        assert answer["Content-Disposition"] == 'attachment; filename="procedure.toml"'
        data = tomllib.loads(answer.content.decode(), parse_float=Decimal)
        spec = read_module(data, drawings=MODULE.drawings)
        assert spec.digest == Revision.objects.get(number=2).digest


HOSTILE = ["", "\x00", "\ud800", "x" * 20_000, "-1", "1e999", "{", "[1]", "NaN", "٣", "1" * 5000, "a\r\nb", "<b>"]
FORM = "application/x-www-form-urlencoded"


class TestHostile:
    @pytest.mark.parametrize("value", HOSTILE)
    def test_any_text_in_any_field(self, site: Cast, begin, value: str):
        """Whatever is sent is kept or refused with a sentence, never an error of the server."""
        held = begin()
        names = [*rules.step_fields(rules.step_of(held.body, "earth")), *rules.parts_fields(held.body)]
        names += ["changed", "act", "after", "fault", "move", "reason", "digest", "figure-1-gone"]
        text = urlencode(dict.fromkeys(names, value), errors="surrogatepass")
        tess, olga = site.client("tess"), site.client("olga")
        for _ in range(2):
            for one in every_url(held):
                answer = tess.post(one, text, content_type=FORM, follow=True)
                assert answer.status_code in (200, 404, 405), one
                held = Amendment.objects.latest("pk") if Amendment.objects.exists() else begin()
        for one in ("approve", "refuse"):
            assert olga.post(url(held, one), text, content_type=FORM, follow=True).status_code == 200

    @pytest.mark.parametrize("value", HOSTILE)
    def test_a_decision(self, site: Cast, proposed, value: str):
        """The rest being sound."""
        text = urlencode({"reason": value, "digest": value}, errors="surrogatepass")
        for one in ("approve", "refuse"):
            assert site.client("olga").post(url(proposed, one), text, content_type=FORM, follow=True).status_code == 200
        assert Revision.objects.count() == 1
