"""The home page, role by role."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest

from certs.cards.models import Card
from certs.cards.operations import measure
from certs.cards.rules import Step
from certs.records.queries.today import overview
from certs.schemes.models import Authority
from certs.schemes.rules import Act
from tests.cast import AT, ON, START, Cast, person
from tests.certs.factory import card, change, passed_sitting
from tests.certs.records.conftest import Content
from tests.training.procedures.content import module
from training.amendments import operations as amendments
from training.ledger.models import Entry
from training.ledger.operations import write
from training.people.models import Person, RoleHeld
from training.people.rules import Role
from training.procedures import operations as procedures
from training.procedures.models import Revision

FIRST = date(2026, 8, 31)


def text(cast: Cast, who: str) -> str:
    answer = cast.client(who).get("/")
    assert answer.status_code == 200
    return " ".join(answer.content.decode().split())


class TestEveryone:
    def test_signs_in_first(self, cast: Cast) -> None:
        """The home page is private."""
        assert cast.client("nobody").get("/").status_code == 302

    @pytest.mark.parametrize("who", ["ada", "sol", "tess", "olga", "max", "dora", "quin", "rex"])
    def test_has_one_main_button(self, cast: Cast, content: Content, who: str) -> None:
        """One thing to do next, for every role."""
        assert text(cast, who).count("btn-primary") == 1

    def test_without_a_role_is_told_whom_to_ask(self, cast: Cast, content: Content) -> None:
        """Nothing to press, and a sentence that helps."""
        RoleHeld.objects.filter(person=cast.ada).delete()
        page = text(cast, "ada")
        assert "You have no role here yet." in page
        assert "btn-primary" not in page

    def test_with_two_roles_sees_both(self, cast: Cast, content: Content) -> None:
        """A supervisor who also bonds has their own cards and the crews."""
        RoleHeld.objects.create(person=cast.sol, role=Role.CREW, from_on=START)
        page = text(cast, "sol")
        assert "My cards" in page
        assert "The crews" in page


class TestCrew:
    def test_reads_standing_and_next_step_in_words(self, cast: Cast, content: Content) -> None:
        """Large word and shape, the step, the button."""
        page = text(cast, "ada")
        assert '<span class="standing standing-none standing-large">No card</span>' in page
        assert '<a class="btn btn-primary" href="/procedures/setup/">Read: Setting up</a>' in page

    def test_shows_the_card_when_nothing_is_to_do(self, cast: Cast, content: Content) -> None:
        """What an inspector asks for is one press away."""
        content.read_by(cast.ada, on=ON)
        made = card(cast, cast.ada, on=FIRST)
        page = text(cast, "ada")
        assert "Good to the end of 30 Aug 2029." in page
        assert "Work is confirmed to 28 Feb 2027." in page
        assert f'<a class="btn btn-primary" href="/cards/{made.number}/">Show my card</a>' in page

    def test_waiting_for_others_reads_on(self, cast: Cast, content: Content) -> None:
        """While the practical is waited for, the procedures are there to read."""
        content.read_by(cast.ada, on=ON)
        passed_sitting(cast.ada, on=ON)
        assert "Wait for an assessor to see the practical." in text(cast, "ada")

    def test_sees_nobody_else(self, cast: Cast, content: Content) -> None:
        """No list of people on a crew member's page."""
        page = text(cast, "ada")
        assert "Ben Crew" not in page
        assert "Waiting for me" not in page


class TestTrainer:
    def test_counts_what_waits(self, cast: Cast, content: Content) -> None:
        """Olga may assess; Tess may not and sees that somebody waits for another."""
        Authority.objects.create(
            person=cast.olga,
            scheme=content.issue.scheme,
            act=Act.ASSESSES,
            from_on=START,
            granted_by=cast.max,
            granted_at=AT,
        )
        content.read_by(cast.ada, on=ON)
        passed_sitting(cast.ada, on=ON)
        page = text(cast, "olga")
        seen = '<a href="/signoffs/#practicals">Practicals to see</a></span> <strong class="number">{}</strong>'
        assert seen.format(1) in page
        assert 'id="practicals"' in cast.client("olga").get("/signoffs/").text
        assert "Open what waits" in page
        other = text(cast, "tess")
        assert seen.format(0) in other
        assert "Waiting for somebody else, and why not for me" in other


class TestSupervisor:
    def test_sees_who_is_not_current_and_who_has_no_card(self, cast: Cast, content: Content) -> None:
        """Names, reasons and links; nobody of another employer."""
        made = card(cast, cast.ada, on=FIRST)
        card(cast, cast.quin, on=FIRST)
        measure(card=made, step=Step.SUSPENDED, by=cast.max, reason="a doubt", on=ON, at=AT)
        page = text(cast, "sol")
        assert "0 of 2 crew members may work under a card today." in page
        assert "Suspended since 25 Nov 2026." in page
        assert f'href="/records/{cast.ben.pk}/"' in page
        assert "Quin Stranger" not in page

    def test_confirms_work_from_here(self, cast: Cast, content: Content) -> None:
        """Due in twenty days: by when, and the link to do it; across employers there is no such link."""
        made = card(cast, cast.ada, on=FIRST)
        change(Card.objects.all(), confirm_by=ON + timedelta(days=20))
        link = f'href="/worklog/confirm/{made.number}/"'
        page = text(cast, "sol")
        assert "work to be confirmed by 15 Dec 2026" in page
        assert link in page
        assert link not in text(cast, "max")

    def test_sees_who_has_a_changed_procedure_to_read(self, cast: Cast, content: Content) -> None:
        """Who, what, and until when; the holder sees it as the next step."""
        card(cast, cast.ada, on=FIRST)
        content.read_by(cast.ada, on=FIRST)
        content.revise(demand="read")
        page = text(cast, "sol")
        assert "Setting up, revision 2: read it by 30 Nov 2026" in page
        page = text(cast, "ada")
        assert "Read the changed procedure by 30 Nov 2026." in page
        assert "Read what changed: Setting up" in page
        assert 'href="/procedures/setup/changes/?to=2"' in page


class TestOverview:
    def shown(self) -> Any:
        return overview(Person.objects.all(), may_confirm=False, on=ON)

    @pytest.mark.parametrize(("days", "last"), [(0, 30), (30, 30), (31, 60), (90, 90)])
    def test_puts_a_card_in_the_span_it_runs_out_in(self, cast: Cast, days: int, last: int) -> None:
        """Each card once, under the nearest span."""
        card(cast, cast.ada, on=FIRST)
        change(Card.objects.all(), last_day=ON + timedelta(days=days))
        spans = self.shown().runs_out
        assert [(span.first, span.last) for span in spans] == [(0, 30), (31, 60), (61, 90)]
        assert [span.last for span in spans if span.cards.rows] == [last]

    def test_leaves_out_what_runs_out_later_or_has_run_out(self, cast: Cast) -> None:
        """A lapsed card stands among the stopped ones."""
        card(cast, cast.ada, on=FIRST)
        card(cast, cast.ben, on=FIRST)
        change(Card.objects.filter(person=cast.ben), last_day=ON - timedelta(days=1))
        shown = self.shown()
        assert not any(span.cards.rows for span in shown.runs_out)
        assert [one.name for one in shown.stopped.rows] == ["Ben Crew"]

    def test_cuts_long_lists_and_says_so(self, cast: Cast) -> None:
        """The board has the rest."""
        for number in range(15):
            person(f"p{number}", f"Person {number:02}", cast.northmoor, Role.CREW)
        without = self.shown().without
        assert (len(without.rows), without.total, without.more) == (12, 18, 6)

    @pytest.mark.parametrize("size", [5, 30])
    def test_is_four_queries_at_any_size(
        self, cast: Cast, size: int, django_assert_max_num_queries: Callable[..., Any]
    ) -> None:
        """People, cards, what happened to them, what changed procedures ask."""
        for number in range(size):
            card(cast, person(f"p{number}", f"Person {number:02}", cast.northmoor, Role.CREW), on=FIRST)
        with django_assert_max_num_queries(4):
            assert self.shown().may_work == size


class TestAdministrator:
    def test_sees_people_without_a_role(self, cast: Cast, content: Content) -> None:
        """An open account nobody gave a role; a closed one is left alone."""
        person("idle", "Ida Idle", cast.elsewhere)
        gone = person("gone", "Gus Gone", cast.elsewhere)
        Person.objects.filter(pk=gone.pk).update(is_active=False)
        page = text(cast, "max")
        assert "Ida Idle" in page
        assert "Gus Gone" not in page

    def test_sees_every_employer(self, cast: Cast, content: Content) -> None:
        """The body looks across."""
        page = text(cast, "max")
        assert "Ada Crew" in page
        assert "Quin Stranger" in page

    def test_reads_whether_the_ledger_is_whole(self, cast: Cast, content: Content) -> None:
        """Whole, and named entry by entry when it is not."""
        write(by=cast.max.pk, act="role given", about={"person": 1}, at=AT)
        assert "The ledger is whole" in text(cast, "max")
        Entry.objects.update(act="role taken")
        page = text(cast, "max")
        assert "Entry 1 was changed after it was written." in page
        assert "The ledger is whole" not in page

    def test_of_one_employer_is_not_shown_the_ledger(self, cast: Cast, content: Content) -> None:
        """The chain is the body's to keep."""
        RoleHeld.objects.create(person=cast.sol, role=Role.ADMINISTRATOR, from_on=START)
        page = text(cast, "sol")
        assert "People without a role" in page
        assert "ledger is" not in page


class TestAmendments:
    def test_wait_for_a_second_person(self, cast: Cast) -> None:
        """Whoever may decide is told, and the author is not."""
        procedures.load([module()], at=AT)
        held = amendments.begin(base=Revision.objects.select_related("module").get(), by=cast.tess, at=AT)
        amendments.keep_parts(amendment=held, parts={"purpose": "To set up."}, what_changed="Said shorter.")
        amendments.propose(amendment=held, at=AT)
        assert "1 amended procedure waits for a second person" in text(cast, "olga")
        assert "waits for a second person" not in text(cast, "tess")
