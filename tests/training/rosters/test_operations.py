"""Rosters brought, applied and undone: all of it or nothing, and the same file twice changes nothing."""

import csv
import io
from datetime import timedelta

import pytest
import time_machine
from django.core.management import call_command
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from certs.exports.models import CalendarFeed
from tests.cast import AT, ON, START, Cast, person
from training.ledger.models import Entry
from training.ledger.queries import fault
from training.people.models import Crew, CrewMembership, Person, RoleHeld, Site
from training.people.operations import NotTheirs, accept, invite, join_crew, rename_crew, use_crew
from training.people.rules import IdentityCheck, Purpose, Role
from training.rosters import operations, queries
from training.rosters.models import Roster
from training.rosters.rules import NoHeads
from training.tables.code import csv_lines, read, xlsx
from training.tables.rules import Unreadable

NOW = {"on": ON, "at": AT}
LATER = {"on": ON + timedelta(days=3), "at": AT + timedelta(days=3)}


@pytest.fixture
def gang_2(cast: Cast) -> Crew:
    return Crew.objects.create(employer=cast.northmoor, name="Gang 2")


def as_csv(*lines: str) -> bytes:
    return "\r\n".join(lines).encode()


def bring(
    cast: Cast, *lines: str, data: bytes = b"", everyone: bool = False, by: Person | None = None, **when
) -> Roster:
    sent = data or as_csv(*lines)
    facts = {"employer": cast.northmoor, "is_everyone": everyone, "by": by or cast.max}
    return operations.bring(data=sent, **facts, **(NOW | when))


def plan(cast: Cast, roster: Roster, by: Person | None = None, on=ON):
    return queries.planned(roster, queries.register_of(cast.northmoor, by=by or cast.max, on=on), on=on)


def apply(cast: Cast, roster: Roster, by: Person | None = None, **when) -> Roster:
    when = NOW | when
    seen = queries.fingerprint(plan(cast, roster, by, when["on"]))
    return operations.apply(by=by or cast.max, roster=roster, seen=seen, **when)


def undo(cast: Cast, roster: Roster, **when) -> Roster:
    return operations.undo(by=cast.max, roster=roster, **(NOW | when))


def state() -> list[object]:
    """Everything a roster may touch, as it stands."""
    rows = [
        Person.objects.values_list("pk", "name", "folded", "username", "number", "email", "is_active", "password"),
        RoleHeld.objects.values_list("pk", "person", "role", "from_on", "until_on"),
        CrewMembership.objects.values_list("pk", "person", "crew", "from_on", "until_on"),
    ]
    return [sorted(found) for found in rows]


FULL = (
    "Number,Name,E-mail,Crew,Last day",
    "17,Ada Crew,new@example.org,Gang 2,",
    "18,Una Neu,una@example.org,Gang 1; Gang 2,",
    ",ナディア,,,",
    ",Ben Crew,,,2026-11-24",
)


class TestBring:
    def test_keeps_the_rows_and_changes_nothing(self, cast: Cast) -> None:
        before = state()
        roster = bring(cast, "Name", "Una New")
        assert roster.rows == [[1, ["Name"]], [2, ["Una New"]]]
        assert state() == before
        assert not Entry.objects.exists()

    def test_takes_the_place_of_the_one_before(self, cast: Cast) -> None:
        """Of the same person for the same employer."""
        bring(cast, "Name", "Una", by=cast.dora)
        bring(cast, "Name", "Una")
        last = bring(cast, "Name", "Ula")
        assert Roster.objects.filter(brought_by=cast.max).get() == last
        assert Roster.objects.count() == 2

    def test_is_for_administrators_of_the_employer(self, cast: Cast) -> None:
        nora = person("nora", "Nora", cast.elsewhere, Role.ADMINISTRATOR)
        for other in (nora, cast.sol, cast.tess, cast.ada):
            with pytest.raises(NotTheirs):
                bring(cast, "Name", "Una", by=other)

    @pytest.mark.parametrize(("data", "refusal"), [(b"\xff", Unreadable), (b"Crew\nGang 1", NoHeads)])
    def test_refuses_what_cannot_be_read(self, cast: Cast, data: bytes, refusal: type[Exception]) -> None:
        with pytest.raises(refusal):
            bring(cast, data=data)
        assert not Roster.objects.exists()

    def test_is_forgotten(self, cast: Cast, gang_2: Crew) -> None:
        """After a day when it was not applied; what undoing needs after thirty."""
        old = bring(cast, "Name", "Una")
        done = apply(cast, bring(cast, *FULL, by=cast.dora))
        assert operations.forget(at=AT + timedelta(days=1)) == (0, 0)
        assert operations.forget(at=AT + timedelta(days=1, seconds=1)) == (1, 0)
        assert not Roster.objects.filter(pk=old.pk).exists()
        assert operations.forget(at=AT + timedelta(days=30, seconds=1)) == (0, 1)
        done.refresh_from_db()
        assert (done.done, done.rows) == ([], [])
        operations.drop(roster=done)
        assert Roster.objects.filter(pk=done.pk).exists()

    def test_may_be_dropped(self, cast: Cast) -> None:
        operations.drop(roster=bring(cast, "Name", "Una"))
        assert not Roster.objects.exists()


class TestApply:
    def test_does_all_of_it(self, cast: Cast, gang_2: Crew) -> None:
        cast.ada.number = "17"
        cast.ada.save()
        done = apply(cast, bring(cast, *FULL))
        una, nadia = Person.objects.get(number="18"), Person.objects.get(name="ナディア")
        assert (una.username, una.email, una.employer, una.is_active) == (
            "u.neu",
            "una@example.org",
            cast.northmoor,
            True,
        )
        assert una.folded == " una neu"
        assert not una.has_usable_password()
        assert set(una.crew_memberships.values_list("crew", "from_on", "until_on")) == {
            (cast.crew.pk, ON, None),
            (gang_2.pk, ON, None),
        }
        assert una.roles_held.get().role == Role.CREW
        assert nadia.username == "crew"
        cast.ada.refresh_from_db()
        assert cast.ada.email == "new@example.org"
        assert list(cast.ada.crew_memberships.order_by("pk").values_list("crew", "until_on")) == [
            (cast.crew.pk, ON - timedelta(days=1)),
            (gang_2.pk, None),
        ]
        cast.ben.refresh_from_db()
        assert not cast.ben.is_active
        assert cast.ben.roles_held.get().until_on == ON - timedelta(days=1)
        assert done.counts == {"added": 2, "moved": 1, "renamed": 1, "returned": 0, "left": 1, "unchanged": 0}

    def test_is_on_the_ledger_without_names(self, cast: Cast, gang_2: Crew) -> None:
        done = apply(cast, bring(cast, *FULL))
        entry = Entry.objects.get()
        assert (entry.act, entry.by, fault()) == ("roster applied", cast.max.pk, "")
        assert entry.about["file"] == done.digest
        assert set(entry.about["changed"]) == {cast.ada.pk, cast.ben.pk}
        assert "Una" not in str(entry.about)

    @pytest.mark.parametrize("days", [0, 3])
    @pytest.mark.parametrize("everyone", [True, False])
    def test_again_changes_nothing(self, cast: Cast, gang_2: Crew, days: int, everyone: bool) -> None:
        """The same file on the same day, and days later."""
        when = {"on": ON + timedelta(days=days), "at": AT + timedelta(days=days)}
        apply(cast, bring(cast, *FULL, everyone=everyone))
        before = state()
        again = bring(cast, *FULL, everyone=everyone, **when)
        found = plan(cast, again, on=when["on"])
        assert (found.changes, found.wrong, found.unchanged) == ((), (), 4)
        with pytest.raises(operations.NotReady):
            apply(cast, again, **when)
        assert state() == before

    def test_waits_for_every_line(self, cast: Cast) -> None:
        before = state()
        with pytest.raises(operations.NotReady):
            apply(cast, bring(cast, "Name,Crew", "Una New,Gang 1", "Ida New,Gang 9"))
        assert state() == before

    def test_knows_a_crew_by_its_name_of_today(self, cast: Cast, gang_2: Crew) -> None:
        """A file with the old name, looked over before or brought after, makes no crew and changes nobody."""
        roster = bring(cast, "Name,Crew", "Ada Crew,Gang 2")
        seen, before = queries.fingerprint(plan(cast, roster)), state()
        rename_crew(by=cast.max, crew=gang_2, name="Moor gang", **NOW)
        with pytest.raises(operations.NotReady):
            operations.apply(by=cast.max, roster=roster, seen=seen, **NOW)
        (wrong,) = queries.checked(roster, by=cast.max, on=ON).wrong
        assert "Write the name the crew has today: it may have been given another one." in wrong.says
        assert state() == before and not Crew.objects.filter(name="Gang 2").exists()
        apply(cast, bring(cast, "Name,Crew", "Ada Crew,moor gang"))
        assert gang_2.memberships.get().person == cast.ada

    def test_waits_for_answers(self, cast: Cast) -> None:
        roster = bring(cast, "Name", "Ádà Crew")
        with pytest.raises(operations.NotReady):
            apply(cast, roster)
        apply(cast, operations.answer(roster=roster, answers={2: cast.ada.pk}))
        cast.ada.refresh_from_db()
        assert (cast.ada.name, cast.ada.folded) == ("Ádà Crew", " ada crew")

    def test_does_what_was_seen(self, cast: Cast, gang_2: Crew) -> None:
        """Changed by hand between the look and the press: look again."""
        roster = bring(cast, "Name,Crew", "Ada Crew,Gang 2")
        seen = queries.fingerprint(plan(cast, roster))
        join_crew(by=cast.max, person=cast.ada, crew=gang_2, from_on=ON, until_on=None, **NOW)
        before = state()
        with pytest.raises(operations.ChangedMeanwhile):
            operations.apply(by=cast.max, roster=roster, seen=seen, **NOW)
        assert state() == before

    def test_is_done_once(self, cast: Cast) -> None:
        done = apply(cast, bring(cast, "Name", "Una New"))
        with pytest.raises(operations.AlreadyApplied):
            operations.apply(by=cast.dora, roster=done, seen="", **NOW)
        operations.drop(roster=done)
        assert Person.objects.filter(name="Una New").count() == 1

    def test_is_all_or_nothing(self, cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
        """Broken off at the last moment, nothing is left of it."""

        def broken(**about: object) -> None:
            raise RuntimeError

        monkeypatch.setattr("training.rosters.operations.applying.write", broken)
        roster, before = bring(cast, "Name", "Una New"), state()
        with pytest.raises(RuntimeError):
            apply(cast, roster)
        assert state() == before

    def test_by_an_employer_leaves_reserved_roles_alone(self, cast: Cast) -> None:
        """A mail address changed by a file must not hand over an account that opens cards to others."""
        nora = person("nora", "Nora", cast.northmoor, Role.ADMINISTRATOR)
        for name in ("Nora", "Tia"):
            if name == "Tia":
                person("tia", "Tia", cast.northmoor, Role.TRAINER)
            roster = bring(cast, "Name,E-mail", f"{name},x@example.org", by=nora)
            with pytest.raises(operations.NotReady):
                apply(cast, roster, by=nora)
        apply(cast, bring(cast, "Name,E-mail", "Sol Supervisor,x@example.org", by=nora), by=nora)
        cast.sol.refresh_from_db()
        assert cast.sol.email == "x@example.org"

    def test_lets_the_missing_go(self, cast: Cast) -> None:
        """Everyone but those with more than a crew member's role."""
        apply(cast, bring(cast, "Name", "Ada Crew", everyone=True))
        closed = Person.objects.filter(is_active=False)
        assert [one.name for one in closed] == ["Ben Crew"]

    def test_of_five_thousand_is_one_transaction(self, cast: Cast, django_assert_max_num_queries) -> None:
        """As many questions to the database as for a few, apart from batches."""
        lines = [f"{number},Person {number},Gang 1" for number in range(5000)]
        roster = bring(cast, "Number,Name,Crew", *lines)
        with django_assert_max_num_queries(250):
            apply(cast, roster)
        assert Person.objects.filter(employer=cast.northmoor).count() == 5003


class TestUndo:
    def test_puts_everything_back(self, cast: Cast, gang_2: Crew) -> None:
        before = state()
        done = apply(cast, bring(cast, *FULL, everyone=True))
        assert state() != before
        undone = undo(cast, done, **LATER)
        assert state() == before
        assert (undone.done, undone.undone_at) == ([], LATER["at"])
        assert list(Entry.objects.order_by("seq").values_list("act", flat=True)) == ["roster applied", "roster undone"]
        assert fault() == ""

    def test_is_done_once_and_in_time(self, cast: Cast) -> None:
        done = apply(cast, bring(cast, "Name", "Una New"))
        late = {"on": ON + timedelta(days=31), "at": AT + timedelta(days=31)}
        for roster, when in ((done, late), (bring(cast, "Name", "Ida"), NOW)):
            with pytest.raises(operations.TooLate):
                undo(cast, roster, **when)
        undo(cast, done)
        with pytest.raises(operations.TooLate):
            undo(cast, done)

    def refused(self, cast: Cast, done: Roster) -> list[str]:
        before = state()
        with pytest.raises(operations.Depended):
            undo(cast, done)
        assert state() == before
        return [one.name for one in queries.in_the_way(done)]

    def test_names_who_has_something_on_record(self, cast: Cast) -> None:
        """Whatever points at a new person, in any room: also what would go with the person without a word."""
        done = apply(cast, bring(cast, "Name", "Una New", "Ida New"))
        CalendarFeed.objects.create(person=Person.objects.get(name="Una New"), digest="x", made_at=AT)
        assert self.refused(cast, done) == ["Una New"]

    def test_names_who_was_given_a_sign_in(self, cast: Cast) -> None:
        done = apply(cast, bring(cast, "Name", "Una New"))
        una = Person.objects.get(name="Una New")
        link = invite(by=cast.max, person=una, purpose=Purpose.FIRST, checked=IdentityCheck.KNOWN, **NOW)
        accept(invitation=link, password="seven grey herons on a gate", at=NOW["at"])
        assert self.refused(cast, done) == ["Una New"]

    def test_names_who_was_changed_since(self, cast: Cast, gang_2: Crew) -> None:
        done = apply(cast, bring(cast, "Name,Crew", "Ada Crew,Gang 2", "Una New,Gang 2"))
        una, time = Person.objects.get(name="Una New"), cast.ada.crew_memberships.get(crew=gang_2)
        RoleHeld.objects.create(person=una, role=Role.SUPERVISOR, from_on=ON)
        assert self.refused(cast, done) == ["Una New"]
        time.until_on = ON
        time.save()
        assert sorted(self.refused(cast, done)) == ["Ada Crew", "Una New"]

    def test_names_who_is_back_in_the_same_crew(self, cast: Cast, gang_2: Crew) -> None:
        """Two times in one crew would hold on the same days."""
        done = apply(cast, bring(cast, "Name,Crew", "Ada Crew,Gang 2"))
        CrewMembership.objects.create(person=cast.ada, crew=cast.crew, from_on=ON)
        assert self.refused(cast, done) == ["Ada Crew"]

    def test_names_who_has_another_name_now(self, cast: Cast) -> None:
        done = apply(cast, bring(cast, "Name,E-mail", "Ada Crew,a@example.org"))
        Person.objects.filter(pk=cast.ada.pk).update(email="b@example.org")
        assert self.refused(cast, done) == ["Ada Crew"]

    def test_names_who_would_be_back_in_a_crew_out_of_use(self, cast: Cast, gang_2: Crew) -> None:
        """And a roster that names the crew is refused as one with a slip is."""
        done = apply(cast, bring(cast, "Name,Crew", "Ada Crew,Gang 2"))
        use_crew(by=cast.max, crew=cast.crew, used=False, **NOW)
        assert self.refused(cast, done) == ["Ada Crew"]
        (wrong,) = plan(cast, bring(cast, "Name,Crew", "Ada Crew,Gang 1")).wrong
        assert wrong.flaw == "crew"

    def test_is_refused_where_a_number_went_to_another(self, cast: Cast) -> None:
        Person.objects.filter(pk=cast.ada.pk).update(number="17")
        done = apply(cast, bring(cast, "Number,Name,User name", "18,Ada Crew,ada"))
        Person.objects.filter(pk=cast.ben.pk).update(number="17")
        with pytest.raises(operations.ChangedMeanwhile):
            undo(cast, done)

    def test_names_nobody_for_a_person_who_is_gone(self, cast: Cast) -> None:
        done = apply(cast, bring(cast, "Name", "Una New"))
        Person.objects.filter(name="Una New").delete()
        assert self.refused(cast, done) == ["Somebody"]


class TestPresent:
    """The roster of today, written here, comes back in and changes nothing."""

    @pytest.mark.parametrize("kind", ["csv", "xlsx"])
    def test_changes_nothing(self, cast: Cast, kind: str) -> None:
        awkward = Crew.objects.create(
            employer=cast.northmoor,
            name='-Gang; "2"',
            site=Site.objects.create(employer=cast.northmoor, name="=Yard"),
        )
        CrewMembership.objects.create(person=cast.ada, crew=awkward, from_on=START)
        for number, name in enumerate(["=Una", "山田　太郎", "נועה", "Ada Crew", "Ada  Crew", "O'Hara, Zoe\u0308"]):
            made = person(f"p{number}", name, cast.northmoor, Role.CREW)
            Person.objects.filter(pk=made.pk).update(number=f"0{number}")
            CrewMembership.objects.create(
                person=made, crew=awkward, from_on=START, until_on=ON + timedelta(days=number)
            )
        person("gone", "Gone", cast.northmoor)
        lines = list(queries.present_lines(cast.northmoor, by=cast.max, on=ON))
        data = b"".join(csv_lines(queries.PRESENT_HEADS, lines, bom=True))
        if kind == "xlsx":
            with xlsx("Roster", queries.PRESENT_HEADS, lines) as file:
                data = file.read()
        found = plan(cast, bring(cast, data=data, everyone=True))
        assert (found.changes, found.wrong, found.questions) == ((), (), ())
        assert found.unchanged == 9

    def test_of_an_empty_employer_has_heads_only(self, cast: Cast) -> None:
        data = b"".join(csv_lines(queries.PRESENT_HEADS, queries.empty_lines(), bom=True))
        assert [row.cells for row in read(data)] == [queries.PRESENT_HEADS]


class TestAnyFile:
    CELLS = st.one_of(
        st.text(st.characters(exclude_categories=["Cs"])),
        st.sampled_from(
            ["Ada Crew", "Ada crew", "Ben Crew", "Sol Supervisor", "Gang 1", "none", "17", "ada", "2026-11-24"]
        ),
    )

    @given(st.lists(st.lists(CELLS, max_size=7), max_size=6), st.booleans())
    @settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60)
    def test_is_refused_or_applied_and_undone(self, cast: Cast, rows: list[list[str]], everyone: bool) -> None:
        """Whatever is in the cells: nothing half done, and undoing gives back what was."""
        file = io.StringIO(newline="")
        csv.writer(file).writerows([list(queries.PRESENT_HEADS), *rows])
        before = state()
        try:
            roster = bring(cast, data=file.getvalue().encode(), everyone=everyone)
        except Unreadable:
            return
        queries.checked(roster, by=cast.max, on=ON)
        try:
            done = apply(cast, roster)
        except operations.NotReady:
            assert state() == before
            return
        assert not plan(cast, bring(cast, data=file.getvalue().encode(), everyone=everyone)).changes
        undo(cast, done)
        assert state() == before


class TestCommand:
    def test_forgets(self, cast: Cast) -> None:
        bring(cast, "Name", "Una", at=AT - timedelta(days=2))
        said = io.StringIO()
        with time_machine.travel(AT, tick=False):
            call_command("forget_rosters", stdout=said)
        assert said.getvalue() == "Files forgotten: 1. Rosters that can be undone no more: 0.\n"
        assert not Roster.objects.exists()
