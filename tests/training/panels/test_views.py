"""The pages of panels over HTTP."""

import re

import pytest
from django.urls import reverse

from tests.cast import AT, Cast
from tests.training.panels.conftest import ESTIMATES
from tests.training.reply import page
from training.panels import operations, queries, rules
from training.panels.models import Panel, PanelEstimate
from training.people.models import Person
from training.quizzes.models import PaperIssue


def get(cast: Cast, name: str, url: str, *args: object) -> str:
    """A page as a person sees it."""
    return page(cast.client(name).get(reverse(f"panels:{url}", args=args))).replace("\u00a0", " ")


def post(cast: Cast, name: str, url: str, *args: object, **sent: object) -> str:
    """Send a page and follow where it leads."""
    return page(cast.client(name).post(reverse(f"panels:{url}", args=args), sent, follow=True))


def sheet(number: int, row: tuple[int, ...]) -> dict[str, object]:
    """The fields of a judge's sheet."""
    return {"round": number} | {f"q{place}": percent for place, percent in enumerate(row, start=1)}


class TestWhoMay:
    @pytest.mark.parametrize(
        ("name", "expected"),
        [
            ("tess", (200, 200, 200, 200)),  # judge, of the body
            ("wim", (200, 200, 200, 403)),  # judge, of an employer
            ("max", (200, 200, 403, 200)),  # runs it
            ("sol", (403, 403, 403, 403)),
            ("ada", (403, 403, 403, 403)),
        ],
    )
    def test_see_judge_and_run(self, site: Cast, panel: Panel, name: str, expected: tuple[int, ...]) -> None:
        """The list, the panel, a judge's sheet, closing."""
        urls = [reverse("panels:index")]
        urls += [reverse(f"panels:{page}", args=[panel.pk]) for page in ("panel", "estimates", "close")]
        assert tuple(site.client(name).get(url).status_code for url in urls) == expected

    def test_a_trainer_elsewhere_sees_no_panel_of_others(
        self, site: Cast, issue: PaperIssue, six: list[Person]
    ) -> None:
        """Not in the list, and not by its number."""
        held = operations.open_panel(
            issue=issue, by=site.max, people=six[:2], extent=rules.Extent.PAPER, on=AT.date(), at=AT
        )
        assert "Theory paper" not in get(site, "xan", "index")
        assert site.client("xan").get(reverse("panels:panel", args=[held.pk])).status_code == 404


class TestOpening:
    def test_from_the_list_to_the_panel(self, site: Cast, issue: PaperIssue, six: list[Person]) -> None:
        """Judges of any employer are offered; the paper is then no longer offered."""
        assert reverse("panels:open", args=["bonding-theory"]) in get(site, "tess", "index")
        form = get(site, "tess", "open", "bonding-theory")
        assert "Wim, Northmoor Track" in form and "Ada Crew" not in form
        people = [one.pk for one in six]
        body = post(site, "tess", "open", "bonding-theory", people=people, extent="paper")
        assert "The panel is open" in body and "0 of 5 so far" in body
        assert reverse("panels:open", args=["bonding-theory"]) not in get(site, "tess", "index")
        again = post(site, "olga", "open", "bonding-theory", people=people, extent="paper")
        assert "at work on this paper already" in again and Panel.objects.count() == 1

    def test_asks_for_judges(self, site: Cast, issue: PaperIssue, six: list[Person]) -> None:
        """With a sentence that says what to do."""
        body = post(site, "tess", "open", "bonding-theory", extent="paper")
        assert "Choose the judges." in body and "Error:" in body

    def test_says_what_the_pool_lacks(self, site: Cast, issue: PaperIssue, six: list[Person]) -> None:
        """The cell is named, and what was ticked stays ticked."""
        issue.body["cells"].append({"topic": "firing", "level": "apply", "count": 1})
        issue.save()
        body = post(site, "tess", "open", "bonding-theory", people=[six[0].pk], extent="all")
        assert "firing, apply" in body and body.count("checked") == 2

    def test_needs_a_paper_on_offer(self, site: Cast, issue: PaperIssue) -> None:
        """404 for a name that is no paper."""
        assert site.client("tess").get(reverse("panels:open", args=["other"])).status_code == 404

    def test_names_further_judges(self, site: Cast, issue: PaperIssue, six: list[Person]) -> None:
        """While the first round is open; later it says why not."""
        held = operations.open_panel(
            issue=issue, by=site.max, people=six[:1], extent=rules.Extent.PAPER, on=AT.date(), at=AT
        )
        assert "Choose the judges." in post(site, "max", "judges", held.pk)
        assert "Vera" in post(site, "max", "judges", held.pk, people=[site.vera.pk])  # type: ignore[attr-defined]
        post(site, "tess", "estimates", held.pk, **sheet(1, ESTIMATES[0]))
        post(site, "max", "close", held.pk, round=1)
        assert "That round is closed" in post(site, "max", "judges", held.pk, people=[site.olga.pk])


class TestEstimates:
    def test_show_the_question_with_its_key_and_keep_what_is_typed(self, site: Cast, panel: Panel) -> None:
        """A part is kept too, and filled in the next time."""
        body = get(site, "tess", "estimates", panel.pk)
        assert "The person in charge of the isolation" in body and body.count('inputmode="numeric"') == 5
        assert "5 V" in body.replace("\u202f", " ") or "4 V" in body.replace("\u202f", " ") or " V" in body
        assert "2 of 5 so far" in post(site, "tess", "estimates", panel.pk, round=1, q1="70", q2="60")
        assert 'value="70"' in get(site, "tess", "estimates", panel.pk)

    def test_say_what_cannot_be_taken(self, site: Cast, panel: Panel) -> None:
        """Beside the field; nothing typed is lost and nothing is kept."""
        body = post(site, "tess", "estimates", panel.pk, round=1, q1="170", q2="60", q3="half")
        assert body.count("Give a whole number from 0 to 100") >= 2 and 'value="half"' in body
        assert not PanelEstimate.objects.exists()

    def test_of_others_stay_hidden_until_the_round_is_closed(self, site: Cast, panel: Panel, estimate) -> None:
        """Neither a judge nor who runs it sees a figure; who has finished is all."""
        estimate(rules.FIRST)
        for name in ("tess", "max"):
            body = get(site, name, "panel", panel.pk)
            assert "finished" in body and "3.50" not in body and ", middle " not in body
        assert ", middle " not in get(site, "olga", "estimates", panel.pk)
        operations.close_round(panel=panel, number=rules.FIRST, by=site.max, at=AT)
        assert "2.50; 2.80; 3.00; 3.10; 3.30; 3.50" in get(site, "tess", "panel", panel.pk)
        body = get(site, "tess", "estimates", panel.pk)
        assert 'value="50"' in body or 'value="70"' in body or 'value="60"' in body
        assert "50 to 70, middle 65" in body and "You, first round" in body and "not used yet" in body

    def test_are_asked_for_in_the_list(self, site: Cast, panel: Panel, estimate) -> None:
        """Until they are finished, round by round; nobody else is asked, nor who is left out."""
        way = "Give your estimates"
        assert way in get(site, "xan", "index") and way not in get(site, "max", "index")
        estimate(rules.FIRST, judges=5)
        assert way not in get(site, "tess", "index") and way in get(site, "xan", "index")
        operations.close_round(panel=panel, number=rules.FIRST, by=site.max, at=AT)
        assert way in get(site, "tess", "index") and way not in get(site, "xan", "index")

    def test_of_a_round_closed_meanwhile(self, site: Cast, panel: Panel, estimate) -> None:
        """The number of the round is that of the page that was typed into."""
        estimate(rules.FIRST)
        operations.close_round(panel=panel, number=rules.FIRST, by=site.max, at=AT)
        assert "That round is closed" in post(site, "tess", "estimates", panel.pk, **sheet(1, ESTIMATES[0]))

    def test_leave_out_who_did_not_finish(self, site: Cast, panel: Panel, estimate) -> None:
        """Said on the sheet, and again on sending."""
        estimate(rules.FIRST, judges=5)
        operations.close_round(panel=panel, number=rules.FIRST, by=site.max, at=AT)
        assert "You have no part in this round" in get(site, "xan", "estimates", panel.pk)
        assert "goes on without you" in post(site, "xan", "estimates", panel.pk, **sheet(2, ESTIMATES[0]))


class TestClosing:
    def test_names_who_has_not_finished(self, site: Cast, panel: Panel, estimate) -> None:
        """Before the button is pressed; pressing without one finished says so."""
        assert "No judge has finished" in post(site, "max", "close", panel.pk, round=1)
        estimate(rules.FIRST, judges=5)
        assert "<li>Xan</li>" in get(site, "max", "close", panel.pk)
        assert "The round is closed" in post(site, "max", "close", panel.pk, round=1)

    def test_of_a_closed_panel_goes_back_to_it(self, site: Cast, closed: Panel) -> None:
        """There is no round left."""
        assert site.client("max").get(reverse("panels:close", args=[closed.pk])).status_code == 302
        assert site.client("tess").get(reverse("panels:estimates", args=[closed.pk])).status_code == 404


class TestResult:
    def test_is_advice_with_the_number_to_write(self, site: Cast, closed: Panel) -> None:
        """Mean 91/30, error 0.15, rounded up to 4 of 5, which is the pass mark of the paper already."""
        body = get(site, "wim", "panel", closed.pk)
        assert "Pass from 4 of 5 marks." in body and "3.03 of 5 marks" in body and "0.15 marks" in body
        assert "That is the pass mark already" in body
        # The judges' estimates of the two questions on setup: 100 110 120 120 130 140 of 200, a mean of 1.20 marks.
        assert "between 2.9 and 3.2 marks" in body and re.search(r"setup</th><td[^>]*>1.20</td><td[^>]*>2<", body)
        assert "Each topic must reach this share" not in body

    def test_of_a_paper_passed_by_topics_says_so(self, site: Cast, issue: PaperIssue, closed: Panel) -> None:
        """One number holds for all of its topics."""
        issue.body["part_months"] = 6
        issue.save()
        assert "Each topic must reach this share" in get(site, "max", "panel", closed.pk)

    def test_says_what_to_change(self, site: Cast, panel: Panel) -> None:
        """Everyone expects every mark: 5 of 5, issue 2, and nothing has changed on the site."""
        for number in (rules.FIRST, rules.SECOND):
            for seat in panel.judges.select_related("panel"):
                percents = dict.fromkeys(range(1, 6), 90)
                operations.keep_estimates(judge=seat, number=number, percents=percents, at=AT)
            operations.close_round(panel=panel, number=number, by=site.max, at=AT)
        body = get(site, "max", "panel", panel.pk)
        assert "Pass from 5 of 5 marks." in body and "Nothing has changed on the site" in body
        assert re.search(r"version = 2\s+pass = &quot;1&quot;", body) or re.search(r'version = 2\s+pass = "1"', body)
        assert PaperIssue.objects.get().body["passing"] == "0.8"

    def test_of_a_paper_changed_since_says_so(self, site: Cast, issue: PaperIssue, closed: Panel) -> None:
        """The advice goes into the issue after the newest."""
        changed = {"version": 2, "title": "Theory", "body": issue.body | {"passing": "0.6"}, "digest": "-"}
        PaperIssue.objects.create(paper=issue.paper, loaded_at=AT, **changed)
        body = get(site, "max", "panel", closed.pk)
        assert "The paper has changed" in body and "Issue 2 of the paper came in" in body and "version = 3" in body

    def test_of_four_judges_is_not_valid(self, site: Cast, panel: Panel, estimate) -> None:
        """It says how many are wanting, and gives no number."""
        for number in (rules.FIRST, rules.SECOND):
            estimate(number, judges=4)
            operations.close_round(panel=panel, number=number, by=site.max, at=AT)
        body = get(site, "max", "panel", panel.pk)
        assert "No valid result" in body and "One judge too few" in body and "Pass from" not in body
        assert "not finished: 0 of 5, not counted" in body


class TestMinutes:
    def test_are_kept_with_name_and_moment(self, site: Cast, panel: Panel) -> None:
        """And asked for when empty."""
        body = post(site, "wim", "minutes", panel.pk, text="Question 2 was read in two ways.")
        assert "Question 2 was read in two ways." in body and "Wim" in body and "The minutes are kept" in body
        assert "Write what was said, then keep it." in post(site, "wim", "minutes", panel.pk, text=" ")


class TestQueryCount:
    def test_is_fixed(self, site: Cast, closed: Panel, django_assert_max_num_queries) -> None:
        """However many judges and questions."""
        held = Panel.objects.select_related("issue__paper", "opened_by", "first_closed_by", "second_closed_by").get()
        with django_assert_max_num_queries(7):
            queries.page(held, person=site.tess)
        with django_assert_max_num_queries(2):
            queries.index(Panel.objects.all(), person=site.tess, may_open=True)
