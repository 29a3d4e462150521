"""Two administrators at once: each roster is applied once, and nobody is added twice."""

from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connection

from tests.cast import AT, ON, assemble
from training.ledger.models import Entry
from training.ledger.queries import fault
from training.people.models import Person
from training.people.operations import Refused
from training.rosters import operations, queries
from training.rosters.models import Roster


def seen(roster: Roster, by: Person) -> str:
    return queries.fingerprint(queries.planned(roster, queries.register_of(roster.employer, by=by, on=ON), on=ON))


@pytest.mark.both
@pytest.mark.django_db(transaction=True)
class TestTwins:
    @pytest.mark.parametrize("files", [1, 2])
    def test_apply_once(self, files: int) -> None:
        """The same roster four times, or two rosters of the same people: one is applied, the rest are told."""
        cast = assemble()
        facts = {"employer": cast.northmoor, "is_everyone": False, "on": ON, "at": AT}
        admins = [cast.max, cast.dora][:files]
        rosters = [operations.bring(by=one, data=b"Name,Crew\nUna New,Gang 1\nIda New,", **facts) for one in admins]
        marks = [seen(roster, cast.max) for roster in rosters]

        def apply(turn: int) -> str:
            place = turn % files
            try:
                operations.apply(by=admins[place], roster=rosters[place], seen=marks[place], on=ON, at=AT)
            except Refused as refusal:
                return type(refusal).__name__
            else:
                return "applied"
            finally:
                connection.close()

        with ThreadPoolExecutor(4) as pool:
            answers = list(pool.map(apply, range(4)))
        assert answers.count("applied") == 1
        assert set(answers) <= {"applied", "AlreadyApplied", "ChangedMeanwhile", "NotReady"}
        assert Person.objects.filter(name__endswith=" New").count() == 2
        assert (Entry.objects.count(), fault()) == (1, "")

    def test_undo_once(self) -> None:
        cast = assemble()
        facts = {"employer": cast.northmoor, "is_everyone": False, "on": ON, "at": AT}
        roster = operations.bring(by=cast.max, data=b"Name\nUna New\n", **facts)
        operations.apply(by=cast.max, roster=roster, seen=seen(roster, cast.max), on=ON, at=AT)

        def undo(_: int) -> str:
            try:
                operations.undo(by=cast.max, roster=roster, on=ON, at=AT)
            except operations.TooLate:
                return "told"
            else:
                return "undone"
            finally:
                connection.close()

        with ThreadPoolExecutor(4) as pool:
            answers = list(pool.map(undo, range(4)))
        assert sorted(answers) == ["told", "told", "told", "undone"]
        assert (Entry.objects.count(), fault()) == (2, "")
