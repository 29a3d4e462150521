"""The acts of a panel."""

import pytest

from tests.cast import AT, ON, Cast
from tests.training.panels.conftest import ESTIMATES
from training.bank.models import Question
from training.ledger.models import Entry
from training.panels import operations, queries, rules
from training.panels.models import Panel, PanelEstimate, PanelJudge
from training.people.models import RoleHeld
from training.quizzes.models import PaperIssue


def seat(panel: Panel, username: str) -> PanelJudge:
    """A judge's seat."""
    return PanelJudge.objects.select_related("panel").get(panel=panel, person__username=username)


def acts() -> list[str]:
    """What the ledger says of panels."""
    return list(Entry.objects.filter(act__startswith="panel").order_by("seq").values_list("act", flat=True))


class TestOpening:
    def test_seats_the_judges_and_draws_by_the_blueprint(self, site: Cast, panel: Panel) -> None:
        """Five questions, one a cell, in the newest version; the ledger names the judges by number."""
        topics = list(panel.questions.order_by("position").values_list("version__topic", flat=True))
        assert topics == ["safety", "setup", "setup", "firing", "firing"]
        assert panel.judges.count() == 6 and panel.stage is rules.Stage.FIRST
        assert acts() == ["panel opened"]
        assert len(Entry.objects.get(act="panel opened").about["judges"]) == 6

    def test_refuses_a_second_panel_at_work(self, site: Cast, issue: PaperIssue, panel: Panel, six) -> None:
        """The open one is named."""
        with pytest.raises(operations.Taken) as taken:
            operations.open_panel(issue=issue, by=site.max, people=six, extent=rules.Extent.PAPER, on=ON, at=AT)
        assert taken.value.panel == panel

    def test_refuses_who_is_no_trainer(self, site: Cast, issue: PaperIssue, six) -> None:
        """Nothing is opened; a role that has ended does not count."""
        RoleHeld.objects.filter(person=site.tess).update(until_on="2026-11-24")
        for people, names in ((six, "Tess Trainer"), ([site.ada], "Ada Crew")):
            with pytest.raises(operations.NotTrainers, match=names):
                operations.open_panel(issue=issue, by=site.max, people=people, extent=rules.Extent.ALL, on=ON, at=AT)
        assert not Panel.objects.exists() and acts() == []

    def test_refuses_a_pool_with_a_gap(self, site: Cast, issue: PaperIssue, six) -> None:
        """The cell is named. Questions kept for practice are no help."""
        Question.objects.filter(key__startswith="several").update(retired_at=AT)
        with pytest.raises(operations.PoolEmpty, match="firing, know"):
            operations.open_panel(issue=issue, by=site.max, people=six, extent=rules.Extent.PAPER, on=ON, at=AT)


class TestPool:
    def test_is_what_the_paper_may_draw(self, site: Cast, issue: PaperIssue) -> None:
        """In use, in the paper's language, in one of its cells, and not kept for practice."""
        assert len(queries.pool(issue)) == 10
        Question.objects.filter(key="one-1").update(retired_at=AT)
        for key, change in (("order-1", {"language": "fr"}), ("several-1", {"pool": "practice"})):
            version = Question.objects.get(key=key).versions.get()
            version.body |= change
            version.save()
        Question.objects.get(key="drop-1").versions.update(topic="elsewhere")
        assert {"one-1", "order-1", "several-1", "drop-1"}.isdisjoint(queries.pool(issue))
        assert len(queries.pool(issue)) == 6


class TestNaming:
    def test_adds_those_who_are_new(self, site: Cast, issue: PaperIssue, six) -> None:
        """Naming someone twice changes nothing."""
        held = operations.open_panel(issue=issue, by=site.max, people=six[:2], extent=rules.Extent.PAPER, on=ON, at=AT)
        operations.name_judges(panel=held, by=site.max, people=six[1:4], on=ON, at=AT)
        assert held.judges.count() == 4 and acts() == ["panel opened", "panel judges named"]

    def test_ends_with_the_first_round(self, site: Cast, panel: Panel, estimate) -> None:
        """A judge takes part in both rounds or in none."""
        estimate(rules.FIRST)
        operations.close_round(panel=panel, number=rules.FIRST, by=site.max, at=AT)
        with pytest.raises(operations.RoundClosed):
            operations.name_judges(panel=panel, by=site.max, people=[site.tess], on=ON, at=AT)


class TestEstimates:
    def test_may_change_until_the_round_is_closed(self, site: Cast, panel: Panel, estimate) -> None:
        """Kept anew, taken back, then fixed."""
        judge = seat(panel, "tess")
        operations.keep_estimates(judge=judge, number=rules.FIRST, percents={1: 40, 2: 50, 99: 7}, at=AT)
        operations.keep_estimates(judge=judge, number=rules.FIRST, percents={1: 60, 2: None}, at=AT)
        assert list(judge.estimates.values_list("percent", flat=True)) == [60]
        estimate(rules.FIRST)
        operations.close_round(panel=panel, number=rules.FIRST, by=site.max, at=AT)
        with pytest.raises(operations.RoundClosed):
            operations.keep_estimates(judge=judge, number=rules.FIRST, percents={1: 10}, at=AT)
        assert judge.estimates.get(question__position=1).percent == 50

    def test_of_the_second_round_wait_for_the_first(self, site: Cast, panel: Panel) -> None:
        """There is one open round at a time."""
        with pytest.raises(operations.RoundClosed):
            operations.keep_estimates(judge=seat(panel, "tess"), number=rules.SECOND, percents={1: 10}, at=AT)

    def test_of_who_did_not_finish_the_first_round_are_left_out(self, site: Cast, panel: Panel, estimate) -> None:
        """Data about others before an own estimate would lead."""
        estimate(rules.FIRST, judges=5)
        operations.close_round(panel=panel, number=rules.FIRST, by=site.max, at=AT)
        with pytest.raises(operations.LeftOut):
            operations.keep_estimates(judge=seat(panel, "xan"), number=rules.SECOND, percents={1: 10}, at=AT)


class TestClosing:
    def test_waits_for_somebody_to_finish(self, site: Cast, panel: Panel) -> None:
        """Nothing estimated, nothing closed."""
        operations.keep_estimates(judge=seat(panel, "tess"), number=rules.FIRST, percents={1: 10}, at=AT)
        with pytest.raises(operations.NobodyFinished):
            operations.close_round(panel=panel, number=rules.FIRST, by=site.max, at=AT)

    def test_twice_closes_one_round(self, site: Cast, panel: Panel, estimate) -> None:
        """The second press finds the round closed."""
        estimate(rules.FIRST)
        operations.close_round(panel=panel, number=rules.FIRST, by=site.max, at=AT)
        with pytest.raises(operations.RoundClosed):
            operations.close_round(panel=panel, number=rules.FIRST, by=site.dora, at=AT)
        panel.refresh_from_db()
        assert panel.stage is rules.Stage.SECOND and panel.first_closed_by == site.max

    def test_leaves_the_fingerprint_in_the_ledger(self, site: Cast, closed: Panel) -> None:
        """A change made behind the site's back shows against it."""
        assert acts() == ["panel opened", "panel round closed", "panel round closed"]
        held = Entry.objects.filter(act="panel round closed").order_by("seq").last().about
        assert held["estimates"] == queries.fingerprint(queries.judged(closed)[rules.SECOND])
        PanelEstimate.objects.filter(round=rules.SECOND).update(percent=100)
        assert held["estimates"] != queries.fingerprint(queries.judged(closed)[rules.SECOND])

    def test_both_opens_the_way_for_another_panel(self, site: Cast, issue: PaperIssue, closed: Panel, six) -> None:
        """A closed one is not in the way."""
        held = operations.open_panel(issue=issue, by=site.max, people=six, extent=rules.Extent.ALL, on=ON, at=AT)
        assert held.pk != closed.pk and held.questions.count() == 10


class TestMinutes:
    def test_are_added_at_any_time(self, site: Cast, closed: Panel) -> None:
        """By whom and when, and in the ledger by fingerprint alone."""
        minute = operations.keep_minute(panel=closed, by=site.tess, text="Question 2 was read in two ways.", at=AT)
        assert (minute.by, minute.at) == (site.tess, AT)
        about = Entry.objects.get(act="panel minute kept").about
        assert set(about) == {"panel", "minute", "text"} and "two ways" not in str(about)


def test_worked_value(site: Cast, closed: Panel) -> None:
    """Six judges, five places: mean 91/30, standard error root(114/900/6), worked by hand."""
    versions = queries.on_panel(closed)
    found = queries.result(closed, versions, queries.judged(closed)[rules.SECOND])
    assert len(ESTIMATES) == 6 and found.cut is not None
    assert found.cut.marks == pytest.approx(91 / 30) and found.cut.error == pytest.approx((114 / 900 / 6) ** 0.5)
    assert found.cut.whole == 4
