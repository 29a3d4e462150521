"""The pages of papers and sittings over HTTP."""

import json
import re
from datetime import timedelta
from html import unescape
from types import SimpleNamespace
from uuid import uuid4

import pytest
import time_machine
from django.urls import reverse

from tests.cast import AT
from tests.training.procedures.content import module
from tests.training.quizzes.pool import fields, place, right, sides
from tests.training.reply import page
from training.bank import operations as bank
from training.procedures import operations as procedures
from training.questions.rounding import printed
from training.quizzes import access, operations
from training.quizzes.models import Answer, Sitting
from training.quizzes.queries.results import Result, StepLink

HOUR = timedelta(hours=1)
MULTIPART = "multipart/form-data; boundary=x"
JSON = {"Accept": "application/json"}
AGREED = {"agreed": "on"}


@pytest.fixture
def sheet(site, theory) -> Sitting:
    """A sitting ada has just opened."""
    return operations.open_sitting(person=site.ada, paper=theory, seed="s1", at=AT)


def multipart(value: bytes) -> bytes:
    """Return the body of a form that sends one answer."""
    return b'--x\r\nContent-Disposition: form-data; name="q2-answer"\r\n\r\n' + value + b"\r\n--x--\r\n"


def texts(value: object) -> list[str]:
    """Return every text inside a JSON value."""
    if isinstance(value, dict):
        value = list(value.values())
    if isinstance(value, list):
        return [text for inner in value for text in texts(inner)]
    return [str(value)] if isinstance(value, str) else []


def hidden(client, sitting) -> dict[str, str]:
    """Return what the page of a sitting sends along: its own id, and the turn of each answer as it knows it."""
    body = page(client.get(url(sitting)))
    return dict(re.findall(r'<input type="hidden" name="(page|turn-\d+)" value="(\w+)">', body))


def hand_in(client, sitting, sent, **ticks):
    """Send the whole paper as its page does, look at the review and hand in from there; return the last reply."""
    reply = client.post(url(sitting), hidden(client, sitting) | sent)
    assert (reply.status_code, reply.url) == (302, url(sitting, "review"))
    return client.post(reply.url, ticks)


def url(sitting, name="sitting"):
    return reverse(f"quizzes:{name}", args=[sitting.pk])


class TestIndex:
    def test_offers_a_paper_that_may_be_sat_now(self, site):
        body = page(site.client("ada").get("/papers/"))
        assert "You may sit it now." in body
        assert "5 questions, 60 minutes." in body
        assert reverse("quizzes:start", args=["bonding-theory"]) in body
        assert "You have not sat a paper yet." in body

    def test_leads_back_to_the_open_paper(self, site, sheet):
        body = page(site.client("ada").get("/papers/"))
        assert "its time is running" in body
        assert url(sheet) in body

    def test_leads_to_the_result_when_the_time_is_over(self, site, sheet):
        with time_machine.travel(AT + 2 * HOUR, tick=False):
            assert "The time of your open paper is over" in page(site.client("ada").get("/papers/"))

    def test_says_from_which_day_a_missed_paper_may_be_sat_again(self, site, sheet):
        operations.hand_in(sitting=sheet, answers={}, at=AT)
        body = page(site.client("ada").get("/papers/"))
        assert "You may sit it again from 26 Nov 2026." in body
        assert "Not passed" in body
        assert "0 of 5" in body

    def test_says_that_a_passed_paper_need_not_be_sat_again(self, site, sheet):
        operations.hand_in(sitting=sheet, answers=right(sheet), at=AT)
        body = page(site.client("ada").get("/papers/"))
        assert "Passed on 25 Nov 2026. You need not sit it again" in body
        assert reverse("quizzes:start", args=["bonding-theory"]) in body

    def test_sends_to_the_trainer_after_four_misses(self, site, theory):
        at = AT
        for wait in (1, 7, 30, 30):
            sitting = operations.open_sitting(person=site.ada, paper=theory, seed=str(at), at=at)
            operations.hand_in(sitting=sitting, answers={}, at=at)
            at += timedelta(days=wait)
        with time_machine.travel(at - timedelta(days=1), tick=False):
            assert "Ask your trainer" in page(site.client("ada").get("/papers/"))

    def test_says_so_when_there_is_no_paper(self, cast):
        assert "No paper is on offer yet." in page(cast.client("ada").get("/papers/"))

    @pytest.mark.parametrize("sittings", [0, 3])
    def test_takes_the_same_number_of_queries_whatever_the_past(
        self, site, theory, django_assert_num_queries, sittings
    ):
        for day in range(sittings):
            at = AT - timedelta(days=90 - day)
            sitting = operations.open_sitting(person=site.ada, paper=theory, seed=str(day), at=at)
            operations.hand_in(sitting=sitting, answers=right(sitting), at=at)
        client = site.client("ada")
        with django_assert_num_queries(8):
            client.get("/papers/")

    def test_sends_a_signed_out_visitor_to_sign_in(self, site):
        assert site.client("nobody").get("/papers/").status_code == 302


class TestStart:
    URL = "/papers/bonding-theory/start/"

    def test_says_the_rules_in_plain_words_and_opens_nothing(self, site):
        body = page(site.client("ada").get(self.URL))
        for said in (
            "60 minutes",
            "4 of 5",
            "Every safety question must be fully right",
            "1, 7, 30 days",
            "Start the paper now",
        ):
            assert said in body
        assert not Sitting.objects.exists()

    def test_leads_to_the_result_when_the_time_of_the_open_paper_is_over(self, site, sheet):
        with time_machine.travel(AT + 2 * HOUR, tick=False):
            body = page(site.client("ada").get(self.URL))
        assert url(sheet) in body
        assert "Start the paper now" not in body

    def test_stays_closed_without_the_agreement_to_its_rules(self, site):
        body = page(site.client("ada").post(self.URL))
        assert "without your agreement the paper stays closed" in body
        assert "<title>Error:" in body
        assert not Sitting.objects.exists()

    def test_opens_the_paper_with_a_seed_of_its_own(self, site):
        reply = site.client("ada").post(self.URL, AGREED)
        sitting = Sitting.objects.get()
        assert (reply.status_code, reply.url, sitting.person) == (302, url(sitting), site.ada)
        site.client("ben").post(self.URL, AGREED)
        seeds = set(Sitting.objects.values_list("seed", flat=True))
        assert len(seeds) == 2
        assert all(len(seed) == 32 for seed in seeds)

    def test_goes_on_with_the_open_paper(self, site, sheet):
        assert "Go on with the open paper" in page(site.client("ada").get(self.URL))
        assert site.client("ada").post(self.URL, AGREED).url == url(sheet)

    def test_refuses_before_the_wait_is_over_and_says_until_when(self, site, sheet):
        operations.hand_in(sitting=sheet, answers={}, at=AT)
        for reply in (site.client("ada").get(self.URL), site.client("ada").post(self.URL, AGREED)):
            body = page(reply)
            assert "You may sit this paper again from 26 Nov 2026." in body
            assert "Start the paper now" not in body
        assert Sitting.objects.count() == 1

    def test_says_when_the_pool_is_too_small(self, site):
        bank.load_questions([], at=AT)
        assert "cannot be put together now" in page(site.client("ada").post(self.URL, AGREED))

    def test_knows_no_paper_that_is_retired_or_was_never_there(self, site):
        operations.load_papers([], at=AT)
        assert site.client("ada").get(self.URL).status_code == 404
        assert site.client("ada").post("/papers/other/start/").status_code == 404


class TestSheet:
    def test_shows_every_question_on_one_page_with_the_time_it_ends(self, site, sheet):
        body = page(site.client("ada").get(url(sheet)))
        for item in sheet.items.all():
            assert item.shown["prompt"] in body
            for part in item.shown["parts"]:
                assert part["prompt"] in body
                for option in part["options"]:
                    assert option["text"] in body
        assert "25 Nov 2026, 10:00" in body
        assert f'data-sheet="{url(sheet, "keep")}"' in body
        assert 'inputmode="text"' in body
        assert '<span class="unit">mΩ</span>' in body

    def test_gives_the_values_that_say_what_they_are(self, site, sheet):
        """A sum can be done from what is printed, and nobody has to guess what a value stands for."""
        givens = sheet.items.get(position=place(sheet, "drop")).shown["givens"]
        value = next(one["value"] for one in givens if one["name"] == "resistance")
        body = page(site.client("ada").get(url(sheet)))
        assert f"<dt>Both leads (R)</dt><dd>{value}\N{NO-BREAK SPACE}mΩ</dd>" in body

    def test_shows_the_end_on_the_clock_of_the_place_of_work(self, site, sheet):
        site.northmoor.zone = "Europe/Paris"
        site.northmoor.save()
        assert "25 Nov 2026, 11:00" in page(site.client("ada").get(url(sheet)))

    def test_holds_nothing_of_the_key_before_hand_in(self, site, sheet):
        """Neither answers, misconceptions, working, reasons nor seed are in the page or in any header."""
        client, keep = site.client("ada"), url(sheet, "keep")
        replies = [client.get(url(sheet)), client.post(url(sheet), {}), client.post(keep, {}, headers=JSON)]
        items = list(sheet.items.all())
        printed = json.dumps([item.shown for item in items], ensure_ascii=False)
        secrets = {sheet.seed, *(item.digest for item in items)}
        secrets |= {text for item in items for text in texts(item.sealed) if len(text) > 2 and text not in printed}
        assert {"circuit.voltage_drop.upside_down", "A quiet line is taken for a dead one."} <= secrets
        for reply in replies:
            body = unescape(re.sub(r'name="csrfmiddlewaretoken" value="[^"]*"', "", reply.content.decode()))
            body += str(reply.headers)
            for secret in secrets:
                assert not re.search(rf"(?<![\w.]){re.escape(secret)}(?![\w.])", body), secret

    def test_leaves_the_sealed_side_in_the_database(self, site, sheet, django_assert_num_queries):
        client = site.client("ada")
        with django_assert_num_queries(6) as captured:
            client.get(url(sheet))
        assert not any("sealed" in query["sql"] for query in captured.captured_queries)

    def test_says_beside_every_field_what_belongs_to_it(self, site, sheet):
        """Every id a field or label refers to is on the page, once (HTML 4.10.4; WAI-ARIA 1.2)."""
        sent = fields(sheet, right(sheet)) | {f"q{place(sheet, 'drop')}-answer": "four"}
        body = page(site.client("ada").post(url(sheet), sent))
        ids = re.findall(r'\bid="([^"]+)"', body)
        assert len(ids) == len(set(ids))
        wanted = re.findall(r'\b(?:for|aria-describedby|aria-labelledby)="([^"]+)"', body)
        assert {one for names in wanted for one in names.split()} <= set(ids)
        assert set(re.findall(r'href="#([^"]+)"', body)) <= set(ids)

    @pytest.mark.parametrize("name", ["ben", "sol", "tess", "max", "quin", "rex"])
    def test_is_nobody_elses_while_it_is_open(self, site, sheet, name):
        client = site.client(name)
        assert client.get(url(sheet)).status_code == 404
        assert client.post(url(sheet), fields(sheet, right(sheet))).status_code == 404
        assert client.post(url(sheet, "keep"), fields(sheet, right(sheet))).status_code == 404
        assert not Answer.objects.exists()

    def test_is_not_found_under_another_number(self, site, sheet):
        assert site.client("ada").get(reverse("quizzes:sitting", args=[uuid4()])).status_code == 404
        assert site.client("ada").get("/papers/sittings/1/").status_code == 404


class TestKeep:
    def test_keeps_answers_and_shows_them_again(self, site, sheet):
        client = site.client("ada")
        reply = client.post(url(sheet, "keep"), fields(sheet, right(sheet)), follow=True)
        assert "Kept on 25 Nov 2026, 09:00." in page(reply)
        assert Answer.objects.count() == 5
        body = reply.content.decode()
        shown = sides(sheet.items.get(position=place(sheet, "drop")))[0]["shown"]
        assert f'value="{shown}"' in body
        assert body.count(" checked") == 3
        assert body.count(" selected") == 3

    def test_tells_a_script_what_was_kept(self, site, sheet):
        reply = site.client("ada").post(url(sheet, "keep"), fields(sheet, right(sheet)), headers=JSON)
        turns = {str(place): 1 for place in range(1, 6)}
        assert reply.json() == {"kept": True, "at": "25 Nov 2026, 09:00", "turns": turns, "says": ""}

    def test_gives_a_browser_a_page_though_it_takes_anything(self, site, sheet):
        accept = {"Accept": "text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8"}
        assert site.client("ada").post(url(sheet, "keep"), {}, headers=accept).status_code == 302

    def test_comes_back_with_a_sentence_beside_what_cannot_be_read(self, site, sheet):
        name = f"q{place(sheet, 'drop')}-answer"
        body = page(site.client("ada").post(url(sheet, "keep"), {name: "about 4"}))
        assert "Write the number first" in body
        assert 'value="about 4"' in body
        assert "<title>Error:" in body
        assert "empty: hand in all the same" not in body
        assert Answer.objects.filter(given={"answer": "about 4"}).exists()

    def test_says_when_the_paper_is_handed_in_already(self, site, sheet):
        operations.hand_in(sitting=sheet, answers=right(sheet), at=AT)
        client = site.client("ada")
        assert client.post(url(sheet, "keep"), {}, headers=JSON).status_code == 409
        assert "nothing more was kept" in page(client.post(url(sheet, "keep"), {}, follow=True))

    def test_is_not_done_by_looking(self, site, sheet):
        assert site.client("ada").get(url(sheet, "keep")).status_code == 405

    @pytest.mark.parametrize(
        ("content_type", "data"),
        [
            ("application/x-www-form-urlencoded", b"q2-answer=%ED%A0%80%00&q1-answer=zz&q3-answer-a=%ED%A0%80&q99-x=1"),
            ("application/x-www-form-urlencoded", b"q2-answer=1&q2-answer=2&q2-answer[]=3&__proto__=1"),
            ("application/json", b'{"q2-answer": {"a": [1]}}'),
            ("application/json", b"\xff\xfe{"),
            ("text/plain", b"q2-answer=3"),
            (MULTIPART, multipart(b"\xed\xa0\x80")),
            (f"{MULTIPART}; charset=unicode_escape", multipart(rb"\ud800 \x00 4")),
            (f"{MULTIPART}; charset=utf-7", multipart(b"+2AA-")),
            (MULTIPART, b"--y broken"),
        ],
    )
    @pytest.mark.parametrize("name", ["keep", "sitting"])
    def test_survives_what_no_browser_sends(self, site, sheet, content_type, data, name):
        reply = site.client("ada").post(url(sheet, name), data, content_type=content_type)
        assert reply.status_code in (200, 302, 400)
        assert site.client("ada").get(url(sheet)).status_code == 200


class TestHandIn:
    def test_goes_from_start_by_keeping_to_a_passed_paper_with_its_working(self, site):
        client = site.client("ada")
        where = client.post("/papers/bonding-theory/start/", AGREED).url
        sitting = Sitting.objects.get()
        sent = fields(sitting, right(sitting))
        part = dict(list(sent.items())[:3])
        assert client.post(f"{where}keep/", part).url == where
        reply = hand_in(client, sitting, sent)
        assert (reply.status_code, reply.url) == (302, where)
        body = page(client.get(where))
        assert "Theory paper: passed" in body
        assert "5 of 5" in body
        for item in sitting.items.all():
            for side in sides(item):
                for line in (*side["working"], side["source"]):
                    assert line in unescape(body)

    def test_asks_once_about_empty_answers(self, site, sheet):
        client = site.client("ada")
        sent = fields(sheet, right(sheet)) | {f"q{place(sheet, 'drop')}-answer": " "}
        body = page(hand_in(client, sheet, sent))
        assert "1 question is empty: hand in all the same" in body
        assert "tick the box and hand in again" in body
        assert client.post(url(sheet, "review"), {"empties_meant": "on"}).status_code == 302
        sheet.refresh_from_db()
        assert (sheet.passed, sheet.earned_numerator) == (True, 4)

    def test_counts_the_questions_that_are_empty(self, site, sheet):
        assert "5 questions are empty: hand in all the same" in page(hand_in(site.client("ada"), sheet, {}))

    def test_comes_back_with_all_that_was_typed_when_a_number_cannot_be_read(self, site, sheet):
        sent = fields(sheet, right(sheet)) | {f"q{place(sheet, 'drop')}-answer": "1,250"}
        body = page(site.client("ada").post(url(sheet), sent))
        assert "1,250 can mean 1250 or 1.250" in body
        assert 'value="1,250"' in body
        assert body.count(" checked") == 3
        assert 'aria-invalid="true"' in body
        sheet.refresh_from_db()
        assert sheet.handed_in_at is None

    def test_says_both_what_cannot_be_read_and_what_is_empty(self, site, sheet):
        body = page(site.client("ada").post(url(sheet), {f"q{place(sheet, 'drop')}-answer": "four"}))
        assert "Write the number first" in body
        assert "4 questions are empty" in page(site.client("ada").get(url(sheet, "review")))

    def test_asks_for_a_place_for_every_line(self, site, sheet):
        order = f"q{place(sheet, 'order')}-answer"
        sent = fields(sheet, right(sheet)) | {f"{order}-a": "2", f"{order}-b": "2"}
        assert "Give every line a place of its own" in page(site.client("ada").post(url(sheet), sent))

    @pytest.mark.parametrize("typed", ["{} V", "{}", " {} volts "])
    def test_reads_a_decimal_comma_and_a_unit(self, site, sheet, typed):
        drop = place(sheet, "drop")
        shown = sides(sheet.items.get(position=drop))[0]["shown"].replace(".", ",")
        client = site.client("ada")
        hand_in(client, sheet, fields(sheet, right(sheet)) | {f"q{drop}-answer": typed.format(shown)})
        assert "5 of 5" in page(client.get(url(sheet)))

    def test_ignores_names_that_belong_to_no_field(self, site, sheet):
        sent = fields(sheet, right(sheet)) | {
            "q1": "x",
            "q99-answer": "1",
            "passed": "on",
            "q1-": "",
            "q-1-answer": "1",
        }
        hand_in(site.client("ada"), sheet, sent)
        sheet.refresh_from_db()
        assert sheet.passed

    def test_twice_changes_nothing(self, site, sheet):
        client = site.client("ada")
        hand_in(client, sheet, fields(sheet, right(sheet)))
        for name in ("sitting", "review"):
            assert "Theory paper: passed" in page(client.post(url(sheet, name), {"empties_meant": "on"}, follow=True))

    def test_leads_to_the_result_when_another_window_was_first(self, site, sheet, monkeypatch):
        """The page was loaded while the paper was open; it is handed in before the form is looked at."""
        monkeypatch.setattr(access, "sitting_for", lambda viewer, pk: sheet)
        operations.hand_in(sitting=sheet, answers=right(sheet), at=AT)
        reply = site.client("ada").post(url(sheet), {})
        assert (reply.status_code, reply.url) == (302, url(sheet))

    @pytest.mark.parametrize("method", ["get", "post"])
    def test_is_done_with_what_was_kept_when_the_time_is_over(self, site, sheet, method):
        client = site.client("ada")
        client.post(url(sheet, "keep"), {"q1-answer": right(sheet)[1]["answer"]})
        with time_machine.travel(AT + 5 * HOUR, tick=False):
            client.force_login(site.ada)
            reply = getattr(client, method)(url(sheet), fields(sheet, right(sheet)), follow=True)
        body = page(reply)
        assert "The time was over" in body
        assert "1 of 5" in body
        assert "25 Nov 2026, 10:00" in body


class TestResult:
    @pytest.fixture
    def missed(self, site, sheet):
        procedures.load([module()], at=AT)
        wrong = sides(sheet.items.get(position=place(sheet, "drop")))[0]["wrong"][0]["shown"]
        unsafe = sides(sheet.items.get(position=1))[0]["unsafe"][0]
        answers = right(sheet) | {place(sheet, "drop"): {"answer": wrong}, 1: {"answer": unsafe}}
        return operations.hand_in(sitting=sheet, answers=answers, at=AT)

    def test_says_which_rule_failed_and_when_the_paper_may_be_sat_again(self, site, missed):
        body = page(site.client("ada").get(url(missed)))
        assert "Theory paper: not passed" in body
        assert "Too few marks: 3 earned, 4 needed." in body
        assert "every safety question must be fully right. 1 was not." in " ".join(body.split())
        assert "You may sit it again from 26 Nov 2026." in body

    def test_shows_no_question_and_no_key_to_who_missed_it(self, site, missed):
        """What comes again would be learnt by heart; the subjects and the steps are told."""
        body = unescape(page(site.client("ada").get(url(missed))))
        for item in missed.items.all():
            assert item.shown["prompt"] not in body
            for side in sides(item):
                told = [*side["working"], side["source"], *(one["says"] for one in side.get("wrong", ()))]
                assert not [line for line in told if line and line in body]
        assert "The questions themselves are shown after a pass." in body

    def test_names_the_misconception_and_the_right_answer_to_the_trainer(self, site, missed):
        body = page(site.client("tess").get(url(missed)))
        drop = sides(missed.items.get(position=place(missed, "drop")))[0]
        assert drop["wrong"][0]["says"] in body
        assert f"<dd>{printed(drop['shown'], 'V')}</dd>" in body
        assert "A quiet line is taken for a dead one." in body
        assert '<a href="#question-1">question 1</a>' in body

    def test_names_the_misconception_after_a_pass(self, site, sheet):
        wrong = sides(sheet.items.get(position=place(sheet, "drop")))[0]["wrong"][0]
        answers = right(sheet) | {place(sheet, "drop"): {"answer": wrong["shown"]}}
        passed = operations.hand_in(sitting=sheet, answers=answers, at=AT)
        body = page(site.client("ada").get(url(passed)))
        assert wrong["says"] in body
        assert "Every question with its working" in body
        assert '<a class="tap" href="/">See what comes next for your card</a>' in body
        assert "See what comes next" not in page(site.client("tess").get(url(passed)))

    def test_leads_to_the_steps_to_read_again(self, site, missed):
        body = page(site.client("ada").get(url(missed)))
        again = body[body.index("Steps to read again") : body.index("Marks by subject")]
        assert f'href="{reverse("procedures:module", args=["setup"])}#earth">Fit the earth</a>' in again
        assert f'href="{reverse("procedures:module", args=["safety"])}#earth"' in again
        assert reverse("procedures:module", args=["firing"]) not in again
        assert "<h3>Setting up</h3>" in again
        assert "See what comes next" not in body

    def test_names_the_steps_of_a_procedure_together(self):
        steps = [StepLink(module, step, step, module) for module, step in ("ab", "xy", "ac", "ab")]
        missed = [SimpleNamespace(right=False, steps=(one,)) for one in steps]
        again = Result.again.fget(SimpleNamespace(questions=missed))
        assert [(one.module, one.step) for one in again] == [("a", "b"), ("a", "c"), ("x", "y")]

    def test_gives_the_marks_by_subject(self, site, missed):
        body = page(site.client("ada").get(url(missed)))
        assert '<th scope="row">Setting up</th>' in body
        assert 'aria-label="50 %"' in body

    @pytest.mark.parametrize(
        ("name", "status"), [("sol", 404), ("tess", 200), ("max", 200), ("ben", 404), ("quin", 404), ("rex", 404)]
    )
    def test_is_open_to_the_candidate_and_across_employers(self, site, missed, name, status):
        reply = site.client(name).get(url(missed))
        assert reply.status_code == status
        assert ("Ada Crew" in reply.content.decode()) is (status == 200)
        assert "You may sit it again" not in reply.content.decode()

    def test_takes_a_fixed_number_of_queries(self, site, missed, django_assert_num_queries):
        client = site.client("ada")
        with django_assert_num_queries(14):
            client.get(url(missed))
