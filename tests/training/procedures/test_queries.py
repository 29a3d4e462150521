"""What the pages of procedures are given."""

from datetime import UTC, date, datetime

import pytest

from tests.cast import AT, Cast
from tests.training.procedures.content import FIGURE, asks, module, revised, step
from training.content.procedures import Bound
from training.procedures import operations, queries
from training.procedures.models import Revision
from training.procedures.rules import Standing


@pytest.fixture
def two_modules(cast: Cast):
    operations.load([module("setup", order=2), module("safety", order=1, title="Working safely")], at=AT)
    return cast


def read(person, slug="setup", at=AT):
    revision = Revision.objects.filter(module__slug=slug).latest("number")
    return operations.record_reading(person=person, revision=revision, at=at)


class TestIndex:
    def test_lists_modules_in_teaching_order(self, two_modules):
        assert [line.slug for line in queries.index(two_modules.ada)] == ["safety", "setup"]

    def test_says_to_read_then_read_then_changed(self, cast: Cast):
        operations.load([module()], at=AT)
        assert queries.index(cast.ada)[0].standing is Standing.UNREAD
        read(cast.ada)
        line = queries.index(cast.ada)[0]
        assert line.is_read
        assert line.read_on == AT.date()
        operations.load([revised()], at=AT)
        line = queries.index(cast.ada)[0]
        assert (line.is_changed, line.is_read, line.number) == (True, False, 2)

    def test_gives_the_day_on_the_readers_own_calendar(self, two_modules):
        # 23:30 UTC in July is 0:30 of the next day in London, which then keeps UTC+1.
        read(two_modules.ada, at=datetime(2026, 7, 1, 23, 30, tzinfo=UTC))
        assert queries.index(two_modules.ada)[1].read_on == date(2026, 7, 2)

    def test_knows_nothing_of_what_others_read(self, two_modules):
        read(two_modules.ben)
        assert not any(line.is_read for line in queries.index(two_modules.ada))

    def test_takes_three_queries_at_any_size(self, cast: Cast, django_assert_num_queries):
        operations.load([module(f"m{n}") for n in range(30)], at=AT)
        read(cast.ada, "m3")
        with django_assert_num_queries(3):
            assert len(queries.index(cast.ada)) == 30


class TestUnread:
    def test_names_modules_not_read_in_the_revision_in_force_and_why(self, two_modules):
        assert queries.unread(two_modules.ada, ["setup", "safety"]) == [
            ("safety", "Working safely", "to read"),
            ("setup", "Setting up", "to read"),
        ]
        read(two_modules.ada)
        assert queries.unread(two_modules.ada, ["setup"]) == []
        operations.load([revised(order=2), module("safety", order=1)], at=AT)
        assert queries.unread(two_modules.ada, ["setup"]) == [("setup", "Setting up", "changed since it was read")]

    def test_leaves_out_modules_nobody_asked_for(self, two_modules):
        assert queries.unread(two_modules.ada, []) == []


class TestPage:
    def test_separates_steps_from_faults(self, two_modules):
        page = queries.page(Revision.objects.get(module__slug="setup"), person=two_modules.ada)
        assert [one.slug for one in page.steps] == ["pin", "earth"]
        assert [one.slug for one in page.faults] == ["fault-dead"]

    def test_prints_units_as_the_trade_writes_them(self, two_modules):
        figure = queries.page(Revision.objects.get(module__slug="setup"), person=two_modules.ada).steps[0].figures[0]
        assert (figure.bound, figure.value, figure.unit) == ("at most", "120", "µΩ")

    def test_says_a_range_without_a_bound(self, cast: Cast):
        span = type(FIGURE)(says="Shots", value="100", value_to="120", unit="shots", bound=Bound.BETWEEN, source="s")
        operations.load([module(steps=(step(figures=(span,)),))], at=AT)
        figure = queries.page(Revision.objects.get(), person=cast.ada).steps[0].figures[0]
        assert (figure.bound, figure.value, figure.value_to) == ("", "100", "120")

    def test_shows_what_changed_only_to_who_read_an_older_revision(self, cast: Cast):
        operations.load([module()], at=AT)
        read(cast.ada)
        operations.load([revised()], at=AT)
        newest = Revision.objects.get(number=2)
        page = queries.page(newest, person=cast.ada)
        assert (page.last_read, page.standing) == (1, Standing.CHANGED)
        assert [note.changed for note in page.news] == ["The earth is now checked twice."]
        assert page.changed_parts == ("what stops the job",)
        assert queries.page(newest, person=cast.ben).changes is None
        assert queries.page(newest, person=cast.ben).news == ()

    def test_knows_an_older_revision_as_superseded(self, cast: Cast):
        operations.load([module()], at=AT)
        operations.load([revised()], at=AT)
        old, new = (queries.page(Revision.objects.get(number=n), person=cast.ada) for n in (1, 2))
        assert (old.is_superseded, old.can_be_read, old.latest) == (True, False, 2)
        assert (new.is_superseded, new.can_be_read) == (False, True)

    def test_takes_two_queries(self, cast: Cast, django_assert_num_queries):
        operations.load([module()], at=AT)
        revision = Revision.objects.select_related("module").get()
        with django_assert_num_queries(2):
            queries.page(revision, person=cast.ada)


class TestCompared:
    @pytest.fixture
    def two(self, cast: Cast):
        operations.load([module()], at=AT)
        operations.load([revised()], at=AT)
        return cast

    def page(self, two):
        older, newer = Revision.objects.select_related("module").order_by("number")
        return queries.compared(older, newer, person=two.ada)

    def test_says_what_became_of_each_step_and_why(self, two):
        page = self.page(two)
        assert [(one.head, one.title, one.is_there) for one in page.steps] == [
            ("Step changed", "Fit the earth", True),
            ("Step added", "Tug the plugs", True),
            ("Step taken out", "Load the pin", False),
        ]
        assert [note.changed for note in page.notes] == ["The earth is now checked twice."]
        assert (page.asked, page.is_empty) == ("", False)
        assert [name for name, _list in page.lists] == ["what stops the job"]

    def test_prints_figures_as_the_trade_writes_them(self, two):
        added = self.page(two).steps[1].figures[0]
        assert (added.older, added.newer) == ("", "at most 120 µΩ (common practice, no source)")

    def test_prints_a_range(self, cast: Cast):
        span = type(FIGURE)(says="Shots", value="100", value_to="120", unit="shots", bound=Bound.BETWEEN, source="s")
        operations.load([module(steps=(step(figures=(span,)),))], at=AT)
        operations.load([module(steps=(step(figures=()),))], at=AT)
        (figure,) = self.page(cast).steps[0].figures
        assert (figure.older, figure.newer) == ("100 to 120 shots (s)", "")

    def test_names_a_drawing_that_came(self, two):
        older, newer = Revision.objects.select_related("module").order_by("number")
        newer.body["drawings"] = [{"name": "clamp", "svg": "<svg/>"}]
        newer.body["steps"][0]["drawing"] = "clamp"
        page = queries.compared(older, newer, person=two.ada)
        assert page.steps[0].drawing == "Drawing added"

    @pytest.mark.parametrize(
        ("demand", "overdue", "says"),
        [
            ("read", "due", "Card holders read it by 24 Jan 2027. After that their cards are due until they have."),
            ("read", "stops", "Card holders read it by 24 Jan 2027. After that their cards stop until they have."),
            ("answer", "due", "read it and answer its questions by 24 Jan 2027. After that their cards are due"),
            ("answer", "stops", "read it and answer its questions by 24 Jan 2027. After that their cards stop"),
        ],
    )
    def test_says_what_is_asked_of_card_holders(self, cast: Cast, demand, overdue, says):
        operations.load([module()], at=AT)
        operations.load([revised(revision=asks(demand, overdue))], at=AT)
        assert says in self.page(cast).asked
