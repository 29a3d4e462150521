"""Plans as they are kept: made step by step, changed by hand, accepted; each against the rules of `crewing.rules`."""

from collections.abc import Iterator
from datetime import date, timedelta

import pytest
import time_machine

from certs.cards.operations import measure
from certs.cards.rules import Step
from certs.crewing import operations
from certs.crewing.models import Plan
from certs.crewing.operations import PlanRefused
from certs.crewing.queries import RULES, inputs_of, shown, turns_of
from certs.crewing.rules import check, shortages
from certs.crewing.rules import steps as stepwise
from certs.jobs import operations as jobs
from certs.jobs.models import Facts, Job
from certs.jobs.rules import Reason
from tests.cast import AT, ON, Cast, assemble
from tests.certs.factory import card, scheme_issue
from training.ledger.models import Entry

HELD = date(2026, 8, 31)


@pytest.fixture(autouse=True)
def today() -> Iterator[None]:
    """Every page is read on the day of the cast."""
    with time_machine.travel(AT, tick=False):
        yield


@pytest.fixture
def cast(db: None) -> Cast:
    """Ada and Ben hold cards, Sol leads, and there is a job of three days for one holder with cover."""
    made = assemble()
    for one in (made.ada, made.ben):
        card(made, one, on=HELD)
    keep(made, "N-1")
    return made


def keep(cast: Cast, reference: str, *, first: int = 1, days: int = 3, holders: int = 1, night: bool = False) -> Job:
    first_on = ON + timedelta(days=first)
    facts = Facts(
        employer=cast.northmoor, reference=reference, place=f"Line of {reference}", first_on=first_on,
        last_on=first_on + timedelta(days=days - 1), bonds=10, each_day=True, crew=None, cold=False, night=night,
        cover=True, wants={scheme_issue().scheme: holders},
    )  # fmt: skip
    return jobs.add(facts=facts, by=cast.sol, at=AT)


def begun(cast: Cast, weeks: int = 1) -> Plan:
    last = ON + timedelta(days=7 * weeks - 1)
    return operations.ask(employer=cast.northmoor, first_on=ON, last_on=last, by=cast.sol, at=AT)


def made(cast: Cast, weeks: int = 1) -> Plan:
    plan = begun(cast, weeks)
    while not plan.is_made:
        plan = operations.advance(plan=plan)
    return plan


def change(plan: Plan, on: date, before: object, after: object, scheme: str = "bonds") -> None:
    job = Job.objects.get()
    operations.change(plan=plan, on=on, job=job, scheme=scheme, before=before, after=after)  # type: ignore[arg-type]


class TestMaking:
    def test_fills_every_place_by_the_rules(self, cast: Cast) -> None:
        """Three days, a holder and the supervisor each; the judge that shares no code with the maker has no fault."""
        plan = made(cast)
        known, turns = inputs_of(plan), turns_of(plan)
        assert len(turns) == 6
        assert check(turns, known.jobs, known.hands, rules=RULES) == ()
        assert shortages(turns, known.jobs) == ()
        assert plan.proven
        page = shown(plan)
        assert (page.places, page.filled, page.open, page.faults, page.changed) == (6, 6, (), (), False)

    def test_comes_out_the_same_from_the_same(self, cast: Cast) -> None:
        """The mark and the turns; another job makes another mark."""
        one, other = made(cast), made(cast)
        assert (one.mark, turns_of(one)) == (other.mark, turns_of(other))
        keep(cast, "N-2", first=4)
        assert made(cast).mark != one.mark

    def test_goes_week_by_week_where_it_is_large(self, cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
        """Each step keeps what the ones before made, and the days in a row are counted across them."""
        monkeypatch.setattr(stepwise, "SMALL", 0)
        keep(cast, "N-2", first=4, days=14)
        plan = begun(cast, weeks=3)
        assert plan.of == 3
        seen = []
        while not plan.is_made:
            seen.append(turns_of(plan))
            plan = operations.advance(plan=plan)
        turns = turns_of(plan)
        assert set(seen[1]) <= set(seen[2]) <= set(turns)
        known = inputs_of(plan)
        assert check(turns, known.jobs, known.hands, rules=RULES) == ()
        assert not plan.proven
        # Sol alone can cover, and has a day free in seven.
        assert {one.scheme for one in shortages(turns, known.jobs)} == {""}
        assert any("supervisor is missing" in words for words in shown(plan).open)

    def test_stops_goes_on_and_goes(self, cast: Cast) -> None:
        plan = begun(cast)
        operations.stop(plan=plan, at=AT)
        plan.refresh_from_db()
        assert operations.advance(plan=plan).steps == 0
        operations.resume(plan=plan)
        plan.refresh_from_db()
        assert operations.advance(plan=plan).is_made
        operations.throw_away(plan=plan)
        assert not Plan.objects.exists()

    def test_is_not_made_of_what_has_changed(self, cast: Cast) -> None:
        """A card stopped between two steps: the plan would mix two states of things."""
        plan = begun(cast)
        measure(card=cast.ada.cards.get(), step=Step.SUSPENDED, by=cast.max, reason="a doubt", on=ON, at=AT)
        with pytest.raises(PlanRefused, match="have changed since"):
            operations.advance(plan=plan)

    def test_wants_a_job(self, cast: Cast) -> None:
        Job.objects.update(closed_at=AT)
        with pytest.raises(PlanRefused, match="no open job"):
            begun(cast)

    def test_says_which_rule_blocks(self, cast: Cast) -> None:
        """Nobody covers while Sol is away, and that alone is why."""
        away = {"from_on": ON, "until_on": ON + timedelta(days=9), "by": cast.max, "at": AT}
        jobs.go_away(person=cast.sol, reason=Reason.LEAVE, **away)
        (first, *rest) = shown(made(cast)).open
        # Days that lack the same for the same reason are said together.
        assert rest == []
        assert first.startswith("26 Nov 2026 to 28 Nov 2026, ")
        assert "a supervisor is missing" in first
        assert "If somebody who is away were there" in first


class TestChanging:
    def test_takes_what_keeps_the_rules(self, cast: Cast) -> None:
        """The other holder instead, marked as by hand; then nobody, and the place is open."""
        plan, on = made(cast), ON + timedelta(days=1)
        row = plan.turns.get(on=on, scheme="bonds")
        other = cast.ben if row.person == cast.ada else cast.ada
        change(plan, on, row.person, other)
        assert plan.turns.get(on=on, scheme="bonds").person == other
        assert plan.turns.get(on=on, scheme="bonds").by_hand
        change(plan, on, other, None)
        assert len(shown(plan).open) == 1

    @pytest.mark.parametrize(
        ("who", "scheme", "says"),
        [
            ("sol", "bonds", "has no card for Bonds by pin brazing"),
            ("ben", "", "is not a supervisor"),
            ("quin", "bonds", "does not work for this employer"),
        ],
    )
    def test_says_why_not(self, cast: Cast, who: str, scheme: str, says: str) -> None:
        """Every hard rule in the words of the judge, and nothing is changed."""
        plan, on = made(cast), ON + timedelta(days=1)
        row, before = plan.turns.get(on=on, scheme=scheme), turns_of(plan)
        with pytest.raises(PlanRefused, match=says):
            change(plan, on, row.person, getattr(cast, who), scheme)
        assert turns_of(plan) == before

    def test_refuses_one_too_many_and_one_twice(self, cast: Cast) -> None:
        plan, on = made(cast), ON + timedelta(days=1)
        row = plan.turns.get(on=on, scheme="bonds")
        other = cast.ben if row.person == cast.ada else cast.ada
        with pytest.raises(PlanRefused, match="too many"):
            change(plan, on, None, other)
        with pytest.raises(PlanRefused, match="One place a day"):
            change(plan, on, None, row.person)

    def test_lets_old_faults_be(self, cast: Cast) -> None:
        """Ada's card is stopped after the plan was made: her turns are told, and Ben's place can still be changed."""
        plan = made(cast)
        measure(card=cast.ada.cards.get(), step=Step.SUSPENDED, by=cast.max, reason="a doubt", on=ON, at=AT)
        measure(card=cast.ben.cards.get(), step=Step.SUSPENDED, by=cast.max, reason="a doubt", on=ON, at=AT)
        page = shown(plan)
        assert page.changed
        assert len(page.faults) == 3
        with pytest.raises(PlanRefused, match="breaks rules"):
            operations.accept(plan=plan, by=cast.sol, at=AT)
        row = plan.turns.filter(scheme="bonds").first()
        change(plan, row.on, row.person, None)
        assert len(shown(plan).faults) == 2


class TestAccepting:
    def test_is_in_the_ledger(self, cast: Cast) -> None:
        """With the mark of what it was made from and of its turns; names are not."""
        plan = made(cast)
        operations.accept(plan=plan, by=cast.sol, at=AT)
        entry = Entry.objects.latest("seq")
        assert (entry.act, entry.by) == ("plan accepted", cast.sol.pk)
        assert set(entry.about) == {"plan", "mark", "turns"}
        for act in (
            lambda: operations.accept(plan=plan, by=cast.sol, at=AT),
            lambda: operations.throw_away(plan=plan),
            lambda: operations.stop(plan=plan, at=AT),
            lambda: change(plan, ON + timedelta(days=1), None, None),
        ):
            with pytest.raises(PlanRefused, match="is accepted"):
                act()
        operations.take_back(plan=plan, by=cast.sol, at=AT)
        operations.take_back(plan=plan, by=cast.sol, at=AT)
        assert [one.act for one in Entry.objects.order_by("-seq")[:2]] == ["plan taken back", "plan accepted"]

    def test_one_plan_a_day(self, cast: Cast) -> None:
        one, other = made(cast), made(cast, weeks=2)
        operations.accept(plan=one, by=cast.sol, at=AT)
        with pytest.raises(PlanRefused, match="The plan of 25 Nov 2026 to "):
            operations.accept(plan=other, by=cast.sol, at=AT)

    def test_not_before_it_is_made(self, cast: Cast) -> None:
        plan = begun(cast)
        with pytest.raises(PlanRefused, match="not made yet"):
            operations.accept(plan=plan, by=cast.sol, at=AT)
        with pytest.raises(PlanRefused, match="not made yet"):
            change(plan, ON + timedelta(days=1), None, cast.ada)


class TestPages:
    def test_from_asking_to_accepting(self, cast: Cast) -> None:
        """Asked for, made by the button, changed with a sentence why not, accepted."""
        sol = cast.client("sol")
        page = sol.post("/crewing/", {"first_on": "2026-11-25", "weeks": "1"}, follow=True)
        plan = Plan.objects.get()
        assert "0 of 1 steps are planned." in page.content.decode()
        assert "data-goes-on" in page.content.decode()
        page = sol.post(f"/crewing/{plan.pk}/advance/", follow=True).content.decode()
        assert "6 of 6 places are filled." in page
        assert "a best plan" in page
        assert f'<p class="on-paper">{cast.northmoor.name}</p>' in page
        row = plan.turns.filter(scheme="bonds").order_by("on").first()
        place = {"on": row.on.isoformat(), "job": row.job_id, "scheme": "bonds", "before": row.person_id}
        url = f"/crewing/{plan.pk}/change/"
        asked = sol.get(url, place).content.decode()
        assert f"It is {row.person.name}" in asked
        other = cast.ben if row.person == cast.ada else cast.ada
        assert f"allowed to take it: <strong>{other.name}</strong>." in asked
        assert f">{other.name}</option>" in asked  # an employer after it would be cut off on a phone
        refused = sol.post(url, place | {"after": cast.sol.pk}).content.decode()
        assert "Sol Supervisor has no card for Bonds by pin brazing that is current that day." in refused
        assert "Error:" in refused
        same = sol.post(url, place | {"after": row.person_id}).content.decode()
        assert "That is how it is already." in same
        assert not plan.turns.filter(by_hand=True).exists()
        page = sol.post(url, place | {"after": other.pk}, follow=True).content.decode()
        assert "by hand" in page and f"N-1: {other.name} goes." in page
        page = sol.post(f"/crewing/{plan.pk}/accept/", follow=True).content.decode()
        assert "Accepted by Sol Supervisor" in page
        assert url not in page
        page = sol.post(f"/crewing/{plan.pk}/throw-away/", follow=True).content.decode()
        assert "Take it back first." in page
        sol.post(f"/crewing/{plan.pk}/take-back/")
        assert "thrown away" in sol.post(f"/crewing/{plan.pk}/throw-away/", follow=True).content.decode()

    def test_says_what_to_put_right(self, cast: Cast) -> None:
        sol = cast.client("sol")
        page = sol.post("/crewing/", {"first_on": "2026-11-24", "weeks": "9"}).content.decode()
        assert "Give today or a day within the next year." in page
        assert "Choose how many weeks." in page
        assert "no open job" in sol.post("/crewing/", {"first_on": "2027-05-05", "weeks": "1"}).content.decode()
        assert "Choose an employer." in cast.client("max").post("/crewing/", {"first_on": ""}).content.decode()

    def test_stops_and_goes_on(self, cast: Cast) -> None:
        plan, sol = begun(cast), cast.client("sol")
        assert "Stopped." in sol.post(f"/crewing/{plan.pk}/stop/", follow=True).content.decode()
        page = sol.post(f"/crewing/{plan.pk}/resume/", follow=True).content.decode()
        assert "Stopped." not in page
        assert "data-goes-on" in page
        keep(cast, "N-2")
        assert "have changed since" in sol.post(f"/crewing/{plan.pk}/advance/", follow=True).content.decode()

    def test_finds_no_place_that_is_none(self, cast: Cast) -> None:
        plan = made(cast)
        assert cast.client("sol").get(f"/crewing/{plan.pk}/change/").status_code == 404
        assert cast.client("sol").get(f"/crewing/{plan.pk}/change/", {"on": "x", "job": "y"}).status_code == 404

    @pytest.mark.parametrize(
        ("who", "status"), [("nobody", 302), ("ada", 403), ("tess", 403), ("sol", 200), ("rex", 404), ("max", 200)]
    )
    def test_is_for_who_keeps_the_jobs(self, cast: Cast, who: str, status: int) -> None:
        assert cast.client(who).get(f"/crewing/{begun(cast).pk}/").status_code == status
