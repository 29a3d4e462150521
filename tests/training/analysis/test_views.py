"""The pages about questions over HTTP."""

import re

import pytest
import time_machine
from django.urls import reverse

from tests.cast import AT, Cast, person
from tests.training.analysis.conftest import spread
from tests.training.reply import page
from training.analysis import queries
from training.analysis.queries import papers
from training.people.rules import Role
from training.quizzes.models import PaperIssue, Sitting

RIGHT, WRONG = (1, "", "5 V"), (0, "circuit.voltage_drop.upside_down", "0.2 V")


@pytest.fixture(autouse=True)
def now():
    """Stop the clock at AT."""
    with time_machine.travel(AT, tick=False):
        yield


def get(cast: Cast, name: str = "tess") -> str:
    """The paper's page as a person sees it."""
    body = page(cast.client(name).get(reverse("analysis:paper", args=["theory"])))
    return body.replace("\u00a0", " ")  # per cent signs do not wrap


class TestWhoMayRead:
    @pytest.mark.parametrize(
        ("name", "status"),
        [("tess", 200), ("olga", 200), ("max", 200), ("sol", 403), ("ada", 403), ("rex", 403), ("nobody", 302)],
    )
    def test_trainers_and_administrators(self, cast: Cast, theory: PaperIssue, name: str, status: int) -> None:
        """Others are turned away from both pages."""
        for url in (reverse("analysis:index"), reverse("analysis:paper", args=["theory"])):
            assert cast.client(name).get(url).status_code == status

    def test_a_trainer_of_an_employer_counts_too(self, cast: Cast, theory: PaperIssue) -> None:
        """The role opens the page, not the employer."""
        cast.tom = person("tom", "Tom", cast.northmoor, Role.TRAINER)
        assert cast.client("tom").get(reverse("analysis:index")).status_code == 200

    def test_no_paper_no_page(self, cast: Cast, theory: PaperIssue) -> None:
        """404 for a name that is no paper; 403 comes first for those who may not ask."""
        url = reverse("analysis:paper", args=["other"])
        assert cast.client("tess").get(url).status_code == 404
        assert cast.client("ada").get(url).status_code == 403

    def test_only_reading(self, cast: Cast, theory: PaperIssue) -> None:
        """Nothing can be posted."""
        assert cast.client("tess").post(reverse("analysis:index")).status_code == 405


class TestIndex:
    def test_counts_papers_handed_in(self, cast: Cast, theory: PaperIssue, hand_in) -> None:
        """Open papers do not count."""
        hand_in(spread(3))
        Sitting.objects.create(
            person=cast.ben, paper=theory.paper, issue=theory, seed="s", opened_at=AT, due_at=AT, out_of=4
        )
        body = page(cast.client("tess").get(reverse("analysis:index")))
        assert "Theory paper" in body and "3 papers handed in" in body

    def test_says_so_when_there_is_none(self, cast: Cast) -> None:
        """An empty site."""
        assert "No paper has been loaded" in page(cast.client("tess").get(reverse("analysis:index")))


class TestPaper:
    def test_without_papers_says_so(self, cast: Cast, theory: PaperIssue) -> None:
        """Nothing to divide by."""
        assert "Nobody has handed in this paper yet" in get(cast)

    def test_says_counts_and_limits_and_names_nobody(self, cast: Cast, hand_in) -> None:
        """People of two employers count; their names do not appear."""
        hand_in([{"q0": RIGHT, "q1": (1, "", "Grind")}] * 7 + [{"q0": WRONG, "q1": (0, "", "Paint")}] * 3)
        body = get(cast)
        assert "7 of 10: 70 % (40 to 89 %)" in body
        assert "so far there are 10" in body
        for name in ("Ada", "Quin", "Northmoor", "Elsewhere"):
            assert name not in body

    def test_picture_uses_no_style_and_has_a_table(self, cast: Cast, hand_in) -> None:
        """The policy forbids style attributes; the figures stand in words as well."""
        hand_in([{"q0": RIGHT, "q1": (1, "", "Grind")}, {"q0": WRONG, "q1": (1, "", "Grind")}])
        body = get(cast)
        picture = re.search(r"<svg class=\"picture\".*?</svg>", body, re.S)
        assert picture and picture[0].count("<rect") == 11
        assert " style=" not in body and "<style" not in body
        assert re.search(r"50 to under 60 %</th><td[^>]*>1</td>", body)
        assert re.search(r"90 to 100 %</th><td[^>]*>1</td>", body)

    def test_flags_ask_a_person(self, cast: Cast, hand_in) -> None:
        """Five misses and no hit: a question with a question mark, first in the table."""
        hand_in([{"q0": RIGHT, "q2": WRONG}] * 5)
        body = get(cast)
        assert "Nobody has got this right so far. Is the key right, and is it taught?" in body
        assert body.index(">q2<") < body.index(">q0<")

    def test_most_missed_come_first_and_words_find_a_question(self, cast: Cast, hand_in) -> None:
        """Of those that ask for nothing the one got wrong most often; the filter keeps what was typed."""
        hand_in([{"q0": RIGHT, "q1": (0, "", "Paint"), "q2": RIGHT}, {"q0": RIGHT, "q1": RIGHT, "q2": RIGHT}])
        body = get(cast)
        assert body.index(">q1<") < body.index(">q0<")
        asked = reverse("analysis:paper", args=["theory"], query={"words": "Q2 shot"})
        body = page(cast.client("tess").get(asked))
        assert ">q2<" in body
        assert ">q0<" not in body
        assert 'value="Q2 shot"' in body
        nothing = page(cast.client("tess").get(reverse("analysis:paper", args=["theory"], query={"words": "trench"})))
        assert "No question that was asked has all of that" in nothing

    def test_a_long_list_comes_in_pages(self, cast: Cast, hand_in, monkeypatch) -> None:
        """Twenty at a time; the way on keeps what was looked for, and a number that is none is the first page."""
        monkeypatch.setattr(papers, "PER_PAGE", 2)
        hand_in(spread(3))
        address = reverse("analysis:paper", args=["theory"])
        body = page(cast.client("tess").get(address, {"words": "shot"}))
        assert "Page 1 of 2" in body
        assert 'href="?words=shot&amp;page=2#questions"' in body
        assert len(re.findall(r">q\d<", body)) == 2
        assert "Page 2 of 2" in page(cast.client("tess").get(address, {"page": "2"}))
        assert "Page 1 of 2" in page(cast.client("tess").get(address, {"page": "x"}))

    def test_one_question_has_no_rest(self, cast: Cast, hand_in) -> None:
        """A paper of one question says nothing of the rest."""
        hand_in([{"q0": RIGHT}, {"q0": WRONG}] * 20)
        assert "not said yet" in get(cast)

    def test_trust_from_200_papers(self, cast: Cast, hand_in) -> None:
        """At 199 words say why not; at 200 the figures come, for the same questions by formula 20."""
        hand_in(spread(199))
        assert "so far there are 199" in get(cast)
        hand_in(spread(1))
        body = get(cast)
        assert "formula 20" in body and "Would decide the same again" in body and "marks</dd>" in body

    def test_decisions_cannot_be_told_without_reliability(self, cast: Cast, hand_in) -> None:
        """Marks of 2 and 3 of 4 by turns vary less than chance would make them."""
        keys = ["q0", "q1", "q2", "q3"]
        hand_in(
            [
                {key: (int(key != keys[n % 4] and (n % 2 or key != keys[n % 4 - 1])), "", "") for key in keys}
                for n in range(200)
            ]
        )
        body = get(cast)
        assert "Reliability, formula 20" in body and "Would decide the same again" not in body

    def test_trust_of_drawn_papers_and_equal_marks(self, cast: Cast, theory: PaperIssue, hand_in) -> None:
        """Different questions: formula 21. Another issue of the paper starts anew. Equal marks cannot be told."""
        papers = spread(200)
        for number, paper in enumerate(papers):
            del paper[f"q{number % 2}"]
        hand_in(papers)
        assert "formula 21" in get(cast)
        PaperIssue.objects.create(
            paper=theory.paper,
            version=2,
            title="Theory paper, new",
            body={"passing": "0.8", "minutes": 60},
            digest="-",
            loaded_at=AT,
        )
        assert "cannot be told" in get(cast)


class TestQueryCount:
    def test_does_not_grow(self, cast: Cast, theory: PaperIssue, hand_in, django_assert_num_queries) -> None:
        """Papers, marks, questions, corrected keys: four queries at any size; one for the list."""
        for count in (3, 60):
            hand_in(spread(count))
            with django_assert_num_queries(4):
                queries.page(theory)
            with django_assert_num_queries(1):
                queries.index()
