"""Writing a question through the pages."""

import re
import tomllib
from decimal import Decimal
from urllib.parse import urlencode

import pytest
from django.urls import reverse

from tests.cast import AT, Cast, person
from tests.training.drafts.conftest import SENT
from tests.training.quizzes.pool import question, questions
from tests.training.reply import page
from training.bank import operations as bank
from training.bank.models import Question, QuestionVersion
from training.bank.rules import Origin
from training.content.questions import read_question
from training.content.tally import Tally
from training.drafts import operations
from training.drafts.models import Draft, Retirement
from training.drafts.queries import lists
from training.ledger.models import Entry
from training.people.rules import Role
from training.questions.book import calculations
from training.quizzes import operations as quizzes
from training.quizzes.models import Paper

KEY = str(SENT["key"])


@pytest.fixture
def take(site: Cast, send):
    """Take a draft into use through its pages and return the page that follows."""

    def _take(draft: Draft, *, name: str = "tess", changed: str = "", **fields: object) -> str:
        preview = send(draft, name=name, **fields).context["preview"]
        sent = {"digest": preview.spec.digest, "changed": changed}
        return page(site.client(name).post(reverse("drafts:draws", args=[draft.pk]), sent, follow=True))

    return _take


def url_of(version: int, name: str = "version") -> str:
    return reverse(f"drafts:{name}", args=[KEY, version])


class TestWhoMayWrite:
    @pytest.mark.parametrize(
        ("name", "status"),
        [("tess", 200), ("olga", 200), ("max", 200), ("sol", 403), ("ada", 403), ("rex", 403), ("nobody", 302)],
    )
    def test_trainers_and_administrators_of_the_body(self, site: Cast, begin, take, name: str, status: int):
        """Others, candidates with an open paper among them, read no key here."""
        take(begin())
        quizzes.open_sitting(person=site.ada, paper=Paper.objects.get(), seed="s1", at=AT)
        draft = begin()
        pages = [reverse("drafts:index"), reverse("drafts:new")]
        pages += [reverse(f"drafts:{one}", args=[draft.pk]) for one in ("edit", "discard")]
        pages += [url_of(1, one) for one in ("version", "toml", "retire")]
        for url in pages:
            assert site.client(name).get(url).status_code == status, url

    def test_not_those_of_an_employer(self, site: Cast):
        """The trainer of an employer teaches, but does not write what the body examines."""
        site.tom = person("tom", "Tom", site.northmoor, Role.TRAINER)
        assert site.client("tom").get(reverse("drafts:index")).status_code == 403

    def test_no_post_from_a_crew(self, site: Cast, begin, take):
        """Nothing is made, changed or retired."""
        take(begin())
        draft = begin()
        urls = [reverse("drafts:new"), url_of(1, "revise"), url_of(1, "retire")]
        urls += [reverse(f"drafts:{one}", args=[draft.pk]) for one in ("edit", "draws", "discard")]
        for url in urls:
            assert (
                site.client("ada").post(url, {"computation": "circuit.voltage_drop", "reason": "x"}).status_code == 403
            )
        assert Draft.objects.count() == 2
        assert not Retirement.objects.exists()

    def test_nothing_there(self, site: Cast):
        """404 for an author, 403 for others, so that they learn nothing."""
        for url in (reverse("drafts:edit", args=[999]), url_of(1), url_of(1, "toml")):
            assert site.client("tess").get(url).status_code == 404
            assert site.client("ada").get(url).status_code == 403

    def test_a_choice_is_no_calculation(self, site: Cast):
        """Only calculations have their pages here."""
        assert site.client("tess").get(reverse("drafts:version", args=["one-1", 1])).status_code == 404


class TestWriting:
    def test_from_the_catalogue_to_a_paper(self, site: Cast, begin, send):
        """A trainer chooses, writes, sees the mistakes, fixes them, sees the draws, takes the question into use."""
        body = page(site.client("tess").get(reverse("drafts:new")))
        assert "Ohm&#x27;s and Kirchhoff&#x27;s laws" in body
        draft = begin()
        assert draft.made_by == site.tess
        body = page(send(draft, **{"in-current-unit": "amps!", "in-resistance-list": "18", "topic": None}))
        assert "Error:" in body
        assert "is not a unit known here" in body
        assert "This needs at least two different values." in body
        assert "Choose a topic." in body
        assert 'value="amps!"' in body
        answer = send(draft)
        body = page(answer)
        assert "Draw 20" in body
        assert "You divided the" in body
        sent = {"digest": answer.context["preview"].spec.digest}
        body = page(site.client("tess").post(reverse("drafts:draws", args=[draft.pk]), sent, follow=True))
        assert f"Version 1 of {KEY} is in use" in body
        version = QuestionVersion.objects.get(question__key=KEY)
        assert (version.question.origin, version.version, version.topic) == (Origin.SITE, 1, "setup")
        assert version.draft.used_by == site.tess
        entry = Entry.objects.latest("seq")
        about = {"question": version.question_id, "version": 1, "digest": version.digest}
        assert (entry.act, entry.by, entry.about) == ("question taken into use", site.tess.pk, about)
        sitting = quizzes.open_sitting(person=site.ada, paper=Paper.objects.get(), seed="s1", at=AT)
        assert KEY in {item.shown["key"] for item in sitting.items.all()}

    def test_every_mistake_has_its_field(self, site: Cast, begin, send):
        """A page sent empty comes back with a sentence wherever something is wanted, and none above the form."""
        draft = begin()
        rows = {name: None for name in SENT if name not in ("edits", "values", "shows")}
        form = send(draft, **rows).context["form"]
        wanted = {"key", "topic", "level", "minutes", "prompt", "lines", "source", "answer-unit", "answer-decimals"}
        wanted |= {"in-current-how", "in-current-unit", "in-resistance-how", "in-resistance-unit"}
        assert wanted <= set(form.errors)
        assert not form.non_field_errors()

    def test_error_links_reach_their_fields(self, site: Cast, begin, send):
        """Every link of the summary leads to an element of the page."""
        shape = {"key": "Bad Key", "in-current-to": "255", "steps": ["none.such"], "prompt": "{nothing}"}
        sense = {"wrong": ["other"], "lines": "{nothing}", "answer-unit": "A", "in-current-unit": "V"}
        for changed, count in ((shape, 4), (sense, 4)):
            body = page(send(begin(), **changed))
            links = [part.split('"')[0] for part in body.split('<li><a href="#')[1:]]
            assert len(links) >= count
            for link in links:
                assert f'id="{link}"' in body, link

    def test_rows_are_added_and_used(self, site: Cast, begin, send):
        """The resistance of a lead, worked out from a size that stands in a row of its own."""
        draft = begin()
        answer = send(draft, "add-value")
        assert answer.redirect_chain[-1][0].endswith("#id_value-1-name")
        assert 'name="value-1-name"' in page(answer)
        send(draft, "add-show", values="1")
        draft.refresh_from_db()
        assert (draft.typed["values"], draft.typed["shows"]) == ("1", "1")
        leads = {"value-1-name": "size", "value-1-how": "choice", "value-1-list": "25, 35, 50", "value-1-unit": "mm2"}
        more = {"value-2-name": "length", "value-2-how": "constant", "value-2-list": "9", "value-2-unit": "m"}
        row = {"value-3-name": "row", "value-3-how": "computation", "value-3-computation": "leads.class5"}
        row |= {"value-3-inputs": "area = size", "value-3-decimals": "3", "value-3-unit": "ohm/km"}
        own = {"in-resistance-how": "computation", "in-resistance-computation": "leads.resistance"}
        own |= {
            "in-resistance-inputs": "resistance_per_metre = row, lead_length = length",
            "in-resistance-decimals": "2",
        }
        show = {
            "show-1-name": "back",
            "show-1-computation": "circuit.voltage_drop",
            "show-1-unit": "V",
            "show-1-decimals": "1",
        }
        prompt = "Two leads of {size}, {length} each ({row}) carry {current}. What do they take of the voltage?"
        body = page(send(draft, values="3", shows="1", prompt=prompt, **leads, **more, **row, **own, **show))
        assert "Draw 20" in body

    def test_a_name_taken_twice(self, site: Cast, begin, send):
        """An added value may not take the name of an input."""
        row = {"value-1-name": "current", "value-1-how": "constant", "value-1-list": "2", "value-1-unit": "V"}
        assert "is taken by another value" in page(send(begin(), values="1", **row))

    def test_what_never_differs_is_not_taken(self, site: Cast, begin, send):
        """Everyone would get the same numbers: the check says so, and a hand-made POST does not get round it."""
        draft = begin()
        same = {"in-current-how": "constant", "in-current-list": "200"}
        same |= {"in-resistance-how": "constant", "in-resistance-list": "20"}
        answer = send(draft, **same)
        assert "Everyone gets the same numbers" in page(answer)
        sent = {"digest": answer.context["preview"].spec.digest}
        body = page(site.client("tess").post(reverse("drafts:draws", args=[draft.pk]), sent, follow=True))
        assert "not taken into use" in body
        assert not Question.objects.filter(key=KEY).exists()

    def test_draws_that_were_not_seen(self, site: Cast, begin, send):
        """Another trainer changes the draft between the draws and the button."""
        draft = begin()
        digest = send(draft).context["preview"].spec.digest
        send(draft, "keep", name="olga", minutes="4")
        body = page(site.client("tess").post(reverse("drafts:draws", args=[draft.pk]), {"digest": digest}, follow=True))
        assert "has changed since you saw its draws" in body

    def test_two_trainers_at_one_draft(self, site: Cast, begin, send):
        """The later one is told, keeps what was typed, and may send it again."""
        draft = begin()
        send(draft, "keep", name="olga")
        answer = send(draft, "keep", edits="0", source="Mine")
        body = page(answer)
        assert "Olga Assessor kept another text" in body
        assert 'value="Mine"' in body
        edits = answer.context["form"]["edits"].value()
        assert "The draft is kept." in page(send(draft, "keep", edits=edits, source="Mine"))

    def test_drafts_are_shared_and_listed(self, site: Cast, begin, send):
        """A colleague sees the draft in the list and opens it."""
        draft = begin()
        send(draft, "keep")
        body = page(site.client("olga").get(reverse("drafts:index")))
        assert KEY in body
        assert "Tess Trainer" in body
        assert 'value="18 20 24"' in page(site.client("olga").get(reverse("drafts:edit", args=[draft.pk])))

    @pytest.mark.parametrize(
        ("asked", "found"),
        [
            ({"words": "LOST -2"}, ["drop-2"]),
            ({"words": "lost twice"}, []),
            ({"topic": "setup"}, ["drop-1", "drop-2"]),
            ({"topic": "firing"}, []),
            ({"topic": "nowhere", "words": "drop-1"}, ["drop-1"]),
        ],
    )
    def test_questions_are_found(self, site: Cast, asked: dict[str, str], found: list[str]):
        """By parts of words, in the question or its key, and by topic; a topic not in the list is left out."""
        body = page(site.client("tess").get(reverse("drafts:index"), asked))
        assert re.findall(r'class="code">(drop-\d)<', body) == found
        assert ("No question in use has all of that" in body) is (not found)
        assert ("Choose a topic in the list" in body) is (asked.get("topic") == "nowhere")
        assert "Show all questions" in body

    def test_a_long_list_comes_in_pages(self, site: Cast, monkeypatch):
        """The way on keeps what was looked for."""
        monkeypatch.setattr(lists, "PER_PAGE", 1)
        body = page(site.client("tess").get(reverse("drafts:index"), {"words": "drop"}))
        assert re.findall(r'class="code">(drop-\d)<', body) == ["drop-1"]
        assert 'href="?words=drop&amp;page=2#in-use"' in body

    def test_a_draft_is_thrown_away(self, site: Cast, begin):
        """Only after it was asked."""
        draft = begin()
        url = reverse("drafts:discard", args=[draft.pk])
        assert "lost for everybody" in page(site.client("tess").get(url))
        assert "is thrown away" in page(site.client("tess").post(url, follow=True))
        assert not Draft.objects.exists()

    def test_a_computation_that_left_the_catalogue(self, site: Cast, begin):
        """A newer version of the site may lack it: the draft can be thrown away, and the list still opens."""
        draft = begin()
        Draft.objects.update(computation="circuit.gone")
        for name in ("edit", "draws"):
            answer = site.client("tess").get(reverse(f"drafts:{name}", args=[draft.pk]), follow=True)
            assert "has left the catalogue" in page(answer)
        assert "circuit.gone" in page(site.client("tess").get(reverse("drafts:index")))

    @pytest.mark.parametrize("act", ["edit keep", "draws take_into_use", "discard discard"])
    def test_a_draft_gone_in_the_same_moment(self, site: Cast, begin, send, monkeypatch, act: str):
        """Used or thrown away by a colleague between the look-up and the act."""
        name, operation = act.split()

        def gone(**_facts: object) -> None:
            raise operations.Gone

        draft = begin()
        send(draft, "keep")
        monkeypatch.setattr(operations, operation, gone)
        answer = site.client("tess").post(reverse(f"drafts:{name}", args=[draft.pk]), {"digest": "x"}, follow=True)
        assert "no longer there" in page(answer)


class TestKeys:
    def test_a_key_of_the_files(self, site: Cast, begin, send):
        """A key in use by a file is not for a draft."""
        assert "a key is never used again" in page(send(begin(), key="drop-1"))

    def test_a_key_of_another_draft(self, site: Cast, begin, send):
        """Two drafts under one key would end in one question."""
        send(begin(), "keep")
        second = begin()
        assert "Another draft has this key" in page(send(second))
        second.refresh_from_db()
        assert (second.key, second.typed["key"]) == ("", KEY)

    def test_enemies_exist(self, site: Cast, begin, send):
        """A misspelt enemy would keep nothing apart."""
        body = page(send(begin(), enemies="drop-1\ndrop-9 set:plugs"))
        assert "“drop-9” is the key of no other question" in body
        assert "“drop-1”" not in body


class TestInUse:
    def test_files_leave_it_alone(self, site: Cast, begin, take):
        """Loading content neither retires it nor takes its key."""
        take(begin())
        assert bank.load_questions(questions(), at=AT) == Tally(unchanged=10)
        assert Question.objects.get(key=KEY).retired_at is None
        with pytest.raises(bank.KeysOfTheSite, match=KEY):
            bank.load_questions([question("drop", key=KEY)], at=AT)

    def test_a_second_version_keeps_the_sittings_of_the_first(self, site: Cast, begin, take):
        """A sitting points at the version it was drawn from, whatever comes after."""
        take(begin())
        sitting = quizzes.open_sitting(person=site.ada, paper=Paper.objects.get(), seed="s1", at=AT)
        page(site.client("olga").post(url_of(1, "revise"), follow=True))
        site.client("tess").post(url_of(1, "revise"))
        draft = Draft.objects.get(used_as=None)
        assert (draft.version, draft.made_by, draft.typed["in-resistance-list"]) == (2, site.olga, "18 20 24")
        body = take(draft, name="olga", minutes="4", key="other-key")
        assert "Say what changed, and why." in body
        body = take(draft, name="olga", changed="Three minutes were too few.", minutes="4", key="other-key")
        assert f"Version 2 of {KEY} is in use" in body
        assert "Three minutes were too few." in body
        first, second = QuestionVersion.objects.filter(question__key=KEY).order_by("version")
        assert (first.body["minutes"], second.body["minutes"]) == (3, 4)
        assert sitting.items.filter(question_version=first).exists()
        later = quizzes.open_sitting(person=site.ben, paper=Paper.objects.get(), seed="s1", at=AT)
        assert later.items.filter(question_version=second).exists()
        assert not later.items.filter(question_version=first).exists()
        assert "Revise" not in page(site.client("olga").get(url_of(1)))

    def test_is_retired_by_a_person_with_a_reason(self, site: Cast, begin, take):
        """No new paper draws it; a new version brings it back."""
        take(begin())
        assert "Say why the question is retired." in page(site.client("max").post(url_of(1, "retire"), {"reason": " "}))
        sent = {"reason": "The plug is no longer made."}
        assert "no new paper draws it" in page(site.client("max").post(url_of(1, "retire"), sent, follow=True))
        body = page(site.client("tess").get(url_of(1)))
        assert "Max Administrator: The plug is no longer made." in body
        entry = Entry.objects.latest("seq")
        assert (entry.act, entry.by, entry.about["version"]) == ("question retired", site.max.pk, 1)
        assert "is retired already" in page(site.client("max").post(url_of(1, "retire"), sent, follow=True))
        assert "Retired questions, by key" in page(site.client("tess").get(reverse("drafts:index")))
        site.client("tess").post(url_of(1, "revise"))
        take(Draft.objects.get(used_as=None), changed="It is made again.")
        assert Question.objects.get(key=KEY).retired_at is None

    def test_a_question_of_the_files_is_only_read(self, site: Cast):
        """It is revised and retired where it is written."""
        url = reverse("drafts:version", args=["drop-1", 1])
        assert "comes from the files of content" in page(site.client("tess").get(url))
        for name in ("revise", "retire"):
            url = reverse(f"drafts:{name}", args=["drop-1", 1])
            assert "It is revised and retired there" in page(
                site.client("tess").post(url, {"reason": "x"}, follow=True)
            )
        assert Question.objects.get(key="drop-1").retired_at is None
        assert not Draft.objects.exists()

    def test_written_out_it_reads_as_the_same_question(self, site: Cast, begin, take):
        """The file downloaded is a file of content."""
        take(begin())
        answer = site.client("tess").get(url_of(1, "toml"))
        assert answer["Content-Disposition"] == f'attachment; filename="{KEY}-v1.toml"'
        file = tomllib.loads(answer.content.decode(), parse_float=Decimal)
        spec = read_question(file["question"][0] | {"language": file["language"]}, book=calculations())
        assert spec.digest == QuestionVersion.objects.get(question__key=KEY).digest


HOSTILE = [
    "",
    "\x00",
    "\ud800",
    "x" * 20_000,
    "-1",
    "1e999",
    "{",
    "{{{current}}",
    "[1]",
    "NaN",
    "٣",
    "1" * 5000,
    "a=b=c,,=;",
]


class TestHostile:
    @pytest.mark.parametrize("value", HOSTILE)
    def test_any_text_in_any_field(self, site: Cast, begin, value: str):
        """Whatever is sent is kept or refused with a sentence, never an error of the server."""
        draft = begin()
        fields = dict.fromkeys(SENT, value) | {f"value-1-{end}": value for end in ("name", "how", "list", "unit")}
        fields |= {"show-1-name": value, "values": "1", "shows": "1", "edits": "0", "act": "draws"}
        text = urlencode(fields, doseq=True, errors="surrogatepass")
        kind = "application/x-www-form-urlencoded"
        answer = site.client("tess").post(reverse("drafts:edit", args=[draft.pk]), text, content_type=kind, follow=True)
        assert answer.status_code == 200
        page(answer)

    @pytest.mark.parametrize("value", HOSTILE)
    @pytest.mark.parametrize(
        "name", ["values", "edits", "act", "in-current-how", "in-current-to", "in-resistance-list"]
    )
    def test_one_field_at_a_time(self, site: Cast, begin, value: str, name: str):
        """The rest being sound."""
        draft = begin()
        fields = SENT | {"act": "draws", name: value}
        text = urlencode(fields, doseq=True, errors="surrogatepass")
        kind = "application/x-www-form-urlencoded"
        answer = site.client("tess").post(reverse("drafts:edit", args=[draft.pk]), text, content_type=kind, follow=True)
        assert answer.status_code == 200

    @pytest.mark.parametrize("value", HOSTILE)
    def test_the_other_forms(self, site: Cast, begin, send, value: str):
        """Choosing, taking into use, retiring."""
        draft = begin()
        send(draft)
        kind = "application/x-www-form-urlencoded"
        text = urlencode(
            {"computation": value, "digest": value, "changed": value, "reason": value}, errors="surrogatepass"
        )
        for url in (reverse("drafts:new"), reverse("drafts:draws", args=[draft.pk])):
            assert site.client("tess").post(url, text, content_type=kind, follow=True).status_code == 200
        assert not Question.objects.filter(key=KEY).exists()

    def test_ranges_nothing_can_be_drawn_from(self, site: Cast, begin, send):
        """Every draw is lost: the sentence says why."""
        body = page(send(begin(), **{"in-current-from": "0", "in-current-to": "0.0001", "in-current-step": "0.0001"}))
        assert "Change the ranges" in body
