"""Which trainers can come: few, engaged, or with a hand in the training; held against a matching by scipy."""

import random
from datetime import timedelta
from decimal import Decimal

import pytest

from certs.crewing.rules import Rules
from certs.gaps.queries.gathering import gap_plan
from certs.gaps.rules import GapPlan, Trainers, plan, planning
from certs.schemes.models import Authority, TrainingAct
from certs.visits.models import Visit, VisitRefusal
from tests.cast import AT, ON, Cast
from tests.certs.crewing.cases import day, hand, job
from tests.certs.factory import scheme_issue
from tests.certs.gaps.test_rules import hosted, way
from tests.certs.jobs.conftest import Make

TOM, BOTH = frozenset({"tom"}), frozenset({"tom", "una"})
ONE = Decimal(1)


class TestLimits:
    def test_suffice_where_each_coming_can_have_its_own(self) -> None:
        """Over all combinations of schemes that is what a maximum matching finds, trainer by trainer."""
        yes = 0
        for seed in range(300):
            made = random.Random(f"limits {seed}")
            some = [f"t{number}" for number in range(made.randint(0, 5))]
            schemes = [f"s{number}" for number in range(made.randint(1, 4))]
            assess = {one: frozenset(who for who in some if made.random() < 0.6) for one in schemes}
            engaged = {day(0): frozenset(who for who in some if made.random() < 0.2)}
            comings = {one: made.randint(0, 2) for one in schemes}
            trainers = Trainers(assess, engaged=engaged)
            wanted = {(day(0), one): 2 * many for one, many in comings.items() if many}
            if wanted:
                found = trainers.suffice(comings, day(0))
                assert found == hosted(trainers, wanted, day(0)), seed
                yes += found
        assert 50 < yes < 250

    def test_of_many_schemes_only_each_and_all(self) -> None:
        """A body with more schemes than can be combined is asked for each, and for all together."""
        trainers = Trainers({f"s{number}": TOM for number in range(9)})
        found = dict(trainers.limits((f"s{number}" for number in range(9)), day(0)))
        assert len(found) == 10
        assert found[tuple(f"s{number}" for number in range(9))] == 1


@pytest.mark.parametrize("whole", [True, False])
class TestPlan:
    """Planned whole, and in the quick way of a large company."""

    @pytest.fixture(autouse=True)
    def size(self, whole: bool, monkeypatch: pytest.MonkeyPatch) -> None:
        if not whole:
            monkeypatch.setattr(planning, "WHOLE", 0)
            monkeypatch.setattr(planning, "SPARSE", 0)

    def found(
        self, trainers: Trainers | None, *, length: Decimal = ONE, schemes: tuple[str, ...] = ("bonds",) * 2
    ) -> GapPlan:
        """Ann and Bob are wanted on day 4, and can be seen on days 1 to 3."""
        names = ("ann", "bob")
        wants = [(scheme, schemes.count(scheme)) for scheme in dict.fromkeys(schemes)]
        ways = [way(who, 1, scheme=scheme, trainer=length) for who, scheme in zip(names, schemes, strict=True)]
        hands = [hand(name, may=[]) for name in names]
        return plan([job("a", 4, wants=wants)], hands, ways, trainers=trainers, rules=Rules(), on=day(0))

    def test_one_trainer_has_one_day_a_day(self) -> None:
        """Two practicals of a day each are seen on two days; two trainers see them on one."""
        assert [one.on for one in self.found(Trainers({"bonds": TOM})).visits] == [day(1), day(2)]
        assert [one.on for one in self.found(Trainers({"bonds": BOTH})).visits] == [day(1), day(1)]
        assert [one.on for one in self.found(None).visits] == [day(1), day(1)]

    def test_comes_for_one_scheme_a_day(self) -> None:
        both = self.found(Trainers({"bonds": TOM, "leads": TOM}), length=ONE / 2, schemes=("bonds", "leads"))
        assert sorted(one.on for one in both.visits) == [day(1), day(2)]

    def test_not_when_engaged(self) -> None:
        found = self.found(Trainers({"bonds": TOM}, engaged={day(1): TOM, day(3): TOM}), length=ONE / 2)
        assert [(one.on, len(one.calls)) for one in found.visits] == [(day(2), 2)]
        assert self.found(Trainers({"bonds": TOM}, engaged={day(1): TOM, day(3): TOM})).missing == 1

    def test_nobody_sees_whom_they_trained(self) -> None:
        """Una trained both, so only Tom sees them, a day each; Tom trained one as well, so nobody sees that one."""
        fewer = {("ann", "bonds"): TOM, ("bob", "bonds"): TOM}
        assert [one.on for one in self.found(Trainers({"bonds": BOTH}, fewer)).visits] == [day(1), day(2)]
        found = self.found(Trainers({"bonds": BOTH}, fewer | {("bob", "bonds"): frozenset()}))
        assert ([call.way.hand for one in found.visits for call in one.calls], found.missing) == (["ann"], 1)

    def test_without_anybody_nothing_is_closed(self) -> None:
        found = self.found(Trainers({}))
        assert (found.visits, found.missing) == ((), 2)


def asked(cast: Cast, **changes: object) -> Visit:
    facts = {"employer": cast.elsewhere, "scheme": scheme_issue().scheme, "trainer": cast.olga, "asked_by": cast.sol}
    return Visit.objects.create(**{**facts, "place": "Yard", "asked_at": AT, **changes})


class TestGathered:
    """From the rows to the plan: Ben or Ada is wanted, and Olga may assess."""

    def days(self, cast: Cast, make: Make) -> list[object]:
        make(first_on=ON + timedelta(days=20), last_on=ON + timedelta(days=20))
        page = gap_plan(cast.northmoor, until=ON + timedelta(days=60), on=ON, at=AT)
        return [one.on for one in page.visits] + [*page.unseen]

    def test_days_for_which_she_is_asked_or_has_declined_are_left_out(self, cast: Cast, make: Make) -> None:
        (first,) = self.days(cast, make)
        asked(cast, on=first)
        (second,) = self.days(cast, lambda **_facts: None)
        asked(cast, on=second, accepted=False, answered_at=AT, reason="On leave.")
        (third,) = self.days(cast, lambda **_facts: None)
        other = asked(cast, on=third, trainer=cast.tess)
        VisitRefusal.objects.create(visit=other, trainer=cast.olga, reason="On leave.", answered_at=AT)
        (fourth,) = self.days(cast, lambda **_facts: None)
        assert first < second < third < fourth
        # Called off, the day is free again; not one on which she said that she does not come.
        Visit.objects.filter(on=second).update(called_off_at=AT)
        assert self.days(cast, lambda **_facts: None) == [fourth]
        Visit.objects.filter(on=first).update(called_off_at=AT)
        assert self.days(cast, lambda **_facts: None) == [first]

    def test_says_when_nobody_may_assess(self, cast: Cast, make: Make) -> None:
        Authority.objects.all().delete()
        assert self.days(cast, make) == ["Bonds by pin brazing"]
        said = cast.client("sol").get(f"/gaps/?until={(ON + timedelta(days=60)).isoformat()}").content.decode()
        assert "Nobody on record may assess any of these people under Bonds by pin brazing" in said

    def test_whom_she_trained_lately_somebody_else_is_brought(self, cast: Cast, make: Make) -> None:
        """24 months, as for the sign-off itself; nobody assesses themself."""
        facts = {"scheme": scheme_issue().scheme, "trainer": cast.olga, "recorded_at": AT}
        for one in (cast.ada, cast.ben):
            TrainingAct.objects.create(candidate=one, ended_on=ON - timedelta(days=30), **facts)
        assert self.days(cast, make) == ["Bonds by pin brazing"]
