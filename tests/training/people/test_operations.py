"""Accounts, roles and crews: what is written, what is refused, and what the ledger says."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError

from tests.cast import AT, ON, START, Cast, person
from training.ledger.models import Entry
from training.ledger.queries import fault
from training.people import operations
from training.people.models import Crew, Person
from training.people.rules import IdentityCheck, Purpose, Role, folded

YESTERDAY = ON - timedelta(days=1)
TOMORROW = ON + timedelta(days=1)
NOW = {"on": ON, "at": AT}


@pytest.fixture
def nora(cast: Cast) -> Person:
    """An administrator of an employer, not of the body."""
    return person("nora", "Nora Administrator", cast.northmoor, Role.ADMINISTRATOR)


def add(by: Person, **said):
    facts = {
        "name": "Una New",
        "username": "una",
        "email": "",
        "employer": by.employer,
        "role": Role.CREW,
        "crew": None,
    }
    return operations.add_person(by=by, **(facts | said), **NOW)


def give(by: Person, who: Person, role: Role, **days):
    return operations.give_role(by=by, person=who, role=role, **({"from_on": ON, "until_on": None} | days), **NOW)


def end(by: Person, who: Person, role: Role, until_on=ON):
    return operations.end_role(by=by, person=who, held=who.roles_held.get(role=role), until_on=until_on, **NOW)


def join(by: Person, who: Person, crew: Crew, **days):
    return operations.join_crew(by=by, person=who, crew=crew, **({"from_on": ON, "until_on": None} | days), **NOW)


def link(by: Person, person: Person, **now):
    facts = {"purpose": Purpose.FORGOTTEN, "checked": IdentityCheck.KNOWN}
    return operations.invite(by=by, person=person, **facts, **now)


def acts() -> list[str]:
    assert fault() == ""
    return list(Entry.objects.order_by("seq").values_list("act", flat=True))


class TestAddPerson:
    def test_opens_an_account_with_role_and_crew_from_today(self, cast: Cast, nora):
        una = add(nora, crew=cast.crew, email="una@example.org")
        assert not una.has_usable_password()
        assert (una.employer, una.email, una.is_active) == (cast.northmoor, "una@example.org", True)
        assert una.roles_held.get().role == Role.CREW
        assert una.roles_held.get().from_on == una.crew_memberships.get().from_on == ON
        assert acts() == ["person added", "role given", "crew joined"]

    def test_writes_no_name_into_the_ledger(self, cast: Cast, nora):
        una = add(nora)
        first = Entry.objects.get(act="person added")
        assert (first.by, first.about) == (nora.pk, {"person": una.pk, "employer": cast.northmoor.pk})
        assert all("Una" not in str(entry.about) for entry in Entry.objects.all())

    @pytest.mark.parametrize("role", [Role.TRAINER, Role.ADMINISTRATOR])
    def test_leaves_roles_that_open_a_card_to_the_body(self, cast: Cast, nora, role):
        with pytest.raises(operations.NotTheirs):
            add(nora, role=role)
        assert not Person.objects.filter(username="una").exists()
        assert acts() == []
        assert add(cast.max, role=role, employer=cast.northmoor).roles_held.get().role == role

    def test_is_refused_for_another_employer(self, cast: Cast, nora):
        with pytest.raises(operations.NotTheirs):
            add(nora, employer=cast.elsewhere)

    @pytest.mark.parametrize("name", ["ada", "sol", "tess"])
    def test_is_refused_without_the_role(self, cast: Cast, name):
        with pytest.raises(operations.NotTheirs):
            add(getattr(cast, name))

    def test_says_which_field_holds_a_name_that_is_taken(self, cast: Cast, nora):
        with pytest.raises(ValidationError) as refusal:
            add(nora, username="ada")
        assert list(refusal.value.message_dict) == ["username"]

    def test_refuses_a_crew_of_another_employer_and_adds_nobody(self, cast: Cast):
        with pytest.raises(operations.OtherEmployer):
            add(cast.max, crew=cast.crew)
        assert not Person.objects.filter(username="una").exists()


class TestGiveRole:
    def test_gives_a_role_with_its_days(self, cast: Cast, nora):
        held = give(nora, cast.ada, Role.SUPERVISOR, from_on=TOMORROW, until_on=TOMORROW)
        assert (held.from_on, held.until_on) == (TOMORROW, TOMORROW)
        entry = Entry.objects.get()
        assert entry.act == "role given"
        assert entry.about == {"person": cast.ada.pk, "role_held": held.pk, "role": "supervisor"}

    @pytest.mark.parametrize("role", [Role.TRAINER, Role.ADMINISTRATOR])
    def test_leaves_roles_that_open_a_card_to_the_body(self, cast: Cast, nora, role):
        with pytest.raises(operations.NotTheirs):
            give(nora, cast.ada, role)
        assert give(cast.max, cast.ada, role).role == role

    def test_is_refused_for_another_employers_people(self, cast: Cast, nora):
        with pytest.raises(operations.NotTheirs):
            give(nora, cast.quin, Role.SUPERVISOR)

    def test_is_not_back_dated(self, cast: Cast):
        with pytest.raises(operations.BackDated):
            give(cast.max, cast.ada, Role.SUPERVISOR, from_on=YESTERDAY)

    def test_is_refused_while_the_role_is_held(self, cast: Cast):
        with pytest.raises(operations.AlreadyHeld):
            give(cast.max, cast.ada, Role.CREW)
        end(cast.max, cast.ada, Role.CREW, until_on=ON)
        with pytest.raises(operations.AlreadyHeld):
            give(cast.max, cast.ada, Role.CREW)
        assert give(cast.max, cast.ada, Role.CREW, from_on=TOMORROW)

    def test_says_when_the_last_day_is_before_the_first(self, cast: Cast):
        with pytest.raises(ValidationError, match="a last day that is not before the first"):
            give(cast.max, cast.ada, Role.SUPERVISOR, from_on=TOMORROW, until_on=ON)

    def test_needs_the_role_to_be_in_force_today(self, cast: Cast):
        cast.max.roles_held.update(until_on=YESTERDAY)
        with pytest.raises(operations.NotTheirs):
            give(cast.max, cast.ada, Role.SUPERVISOR)


class TestEndRole:
    @pytest.mark.parametrize("last", [YESTERDAY, ON, TOMORROW])
    def test_sets_the_last_day(self, cast: Cast, nora, last):
        end(nora, cast.ada, Role.CREW, until_on=last)
        assert cast.ada.roles_held.get().until_on == last
        assert acts() == ["role ended"]

    def test_does_not_rewrite_the_past(self, cast: Cast, nora):
        with pytest.raises(operations.BackDated):
            end(nora, cast.ada, Role.CREW, until_on=ON - timedelta(days=2))

    def test_leaves_the_bodys_roles_to_the_body(self, cast: Cast, nora):
        give(cast.max, cast.ada, Role.TRAINER)
        with pytest.raises(operations.NotTheirs):
            end(nora, cast.ada, Role.TRAINER)
        end(cast.max, cast.ada, Role.TRAINER)

    def test_never_takes_away_ones_own_last_administrator_role(self, cast: Cast):
        with pytest.raises(operations.OwnRole):
            end(cast.max, cast.max, Role.ADMINISTRATOR)
        assert end(cast.dora, cast.max, Role.ADMINISTRATOR).until_on == ON

    def test_takes_away_ones_own_when_the_next_one_follows(self, cast: Cast):
        current = cast.max.roles_held.get()
        cast.max.roles_held.create(role=Role.ADMINISTRATOR, from_on=TOMORROW)
        operations.end_role(by=cast.max, person=cast.max, held=current, until_on=ON, **NOW)
        assert cast.max.roles_held.get(pk=current.pk).until_on == ON

    def test_ends_ones_own_other_roles(self, cast: Cast):
        give(cast.dora, cast.max, Role.TRAINER)
        assert end(cast.max, cast.max, Role.TRAINER).until_on == ON


class TestCrews:
    def test_are_joined_and_left_with_dates(self, cast: Cast, nora):
        row = join(nora, cast.ben, cast.crew, from_on=START)
        operations.leave_crew(by=nora, person=cast.ben, membership=row, until_on=YESTERDAY, **NOW)
        assert cast.ben.crew_memberships.get().until_on == YESTERDAY
        assert acts() == ["crew joined", "crew left"]

    def test_take_people_of_their_own_employer_only(self, cast: Cast):
        other = Crew.objects.create(employer=cast.elsewhere, name="Gang 9")
        with pytest.raises(operations.OtherEmployer) as refusal:
            join(cast.max, cast.ada, other)
        assert list(refusal.value.message_dict) == ["crew"]

    def test_hold_a_person_once_at_a_time(self, cast: Cast, nora):
        with pytest.raises(operations.AlreadyHeld):
            join(nora, cast.ada, cast.crew)

    def test_are_kept_by_their_own_administrator(self, cast: Cast, nora):
        with pytest.raises(operations.NotTheirs):
            join(nora, cast.quin, cast.crew)
        membership = cast.ada.crew_memberships.get()
        with pytest.raises(operations.NotTheirs):
            operations.leave_crew(by=cast.sol, person=cast.ada, membership=membership, until_on=ON, **NOW)

    def test_are_not_left_before_they_were_joined(self, cast: Cast, nora):
        row = join(nora, cast.ben, cast.crew)
        with pytest.raises(ValidationError, match="a last day that is not before the first"):
            operations.leave_crew(by=nora, person=cast.ben, membership=row, until_on=YESTERDAY, **NOW)


class TestAccount:
    def test_is_closed_and_opened_again_once_each(self, cast: Cast, nora):
        for act in (operations.close_account, operations.close_account, operations.open_account):
            act(by=nora, person=cast.ada, **NOW)
        assert acts() == ["account closed", "account opened"]
        assert Person.objects.get(pk=cast.ada.pk).is_active

    def test_closed_keeps_every_record(self, cast: Cast, nora):
        operations.close_account(by=nora, person=cast.ada, **NOW)
        ada = Person.objects.get(pk=cast.ada.pk)
        assert (ada.is_active, ada.roles_held.count(), ada.crew_memberships.count()) == (False, 1, 1)

    def test_is_never_closed_by_its_holder(self, cast: Cast):
        with pytest.raises(operations.OwnRole):
            operations.close_account(by=cast.max, person=cast.max, **NOW)

    @pytest.mark.parametrize("act", [operations.close_account, operations.open_account, link])
    def test_with_a_role_of_the_body_is_left_to_the_body(self, cast: Cast, nora, act):
        give(cast.max, cast.ada, Role.TRAINER, from_on=TOMORROW)
        with pytest.raises(operations.NotTheirs):
            act(by=nora, person=cast.ada, **NOW)
        act(by=cast.max, person=cast.ada, **NOW)

    @pytest.mark.parametrize("act", [operations.close_account, operations.open_account, link])
    def test_of_another_employers_person_is_left_alone(self, cast: Cast, nora, act):
        with pytest.raises(operations.NotTheirs):
            act(by=nora, person=cast.quin, **NOW)


class TestNumber:
    def test_tells_two_of_one_name_apart(self, cast: Cast, nora):
        """Once at an employer; another employer has numbers of its own, and most people have none."""
        una = add(nora, number="17")
        assert (una.number, add(nora, username="una2").number) == ("17", "")
        with pytest.raises(ValidationError, match="already has a person of that number"):
            add(nora, username="una3", number="17")
        add(cast.max, username="una4", number="17", employer=cast.elsewhere)


class TestPutRight:
    def put(self, by: Person, who: Person, **facts: str) -> Person:
        typed = {"name": who.name, "number": who.number, "email": who.email} | facts
        return operations.put_right(by=by, person=who, **typed, **NOW)

    def test_says_in_the_ledger_which_and_not_what(self, cast):
        """Names and addresses stand in no ledger, so that they can be erased."""
        self.put(cast.max, cast.ada, name="Ada Krew", email="")
        cast.ada.refresh_from_db()
        assert (cast.ada.name, cast.ada.email, cast.ada.folded) == ("Ada Krew", "", folded("Ada Krew"))
        assert Entry.objects.get().about == {"person": cast.ada.pk, "fields": ["name", "email"]}

    def test_of_nothing_is_nothing(self, cast):
        self.put(cast.max, cast.ada)
        assert not Entry.objects.exists()

    def test_takes_no_number_twice_and_is_for_who_keeps_the_account(self, cast, nora):
        self.put(cast.max, cast.ben, number="S-7")
        with pytest.raises(ValidationError, match="already has a person of that number"):
            self.put(cast.max, cast.ada, number="S-7")
        with pytest.raises(operations.NotTheirs):
            self.put(nora, cast.quin, name="Quin Known")


class TestMove:
    def move(self, by: Person, who: Person, employer, number: str = "") -> Person:
        return operations.move(by=by, person=who, employer=employer, number=number, **NOW)

    def test_goes_with_the_number_there_and_without_the_crews(self, cast):
        """The time in a crew that began earlier ends yesterday; one from today or later has its first day only."""
        join(cast.max, cast.ada, Crew.objects.create(employer=cast.northmoor, name="Gang 2"), from_on=TOMORROW)
        moved = self.move(cast.max, cast.ada, cast.elsewhere, "S-7")
        assert (moved.employer, moved.number) == (cast.elsewhere, "S-7")
        assert set(cast.ada.crew_memberships.values_list("from_on", "until_on")) == {
            (START, YESTERDAY),
            (TOMORROW, TOMORROW),
        }
        about = {"person": cast.ada.pk, "before": cast.northmoor.pk, "employer": cast.elsewhere.pk}
        assert Entry.objects.get(act="person moved").about == about
        assert acts() == ["crew joined", "crew left", "crew left", "person moved"]

    def test_ends_the_sessions(self, cast):
        before = cast.ada.sessions_ended
        assert self.move(cast.max, cast.ada, cast.elsewhere).sessions_ended == before + 1

    def test_is_for_whoever_keeps_both_employers(self, cast, nora):
        """Neither away from one's own employer nor to it."""
        with pytest.raises(operations.NotTheirs):
            self.move(nora, cast.ada, cast.elsewhere)
        with pytest.raises(operations.NotTheirs):
            self.move(nora, person("una", "Una New", cast.elsewhere, Role.CREW), cast.northmoor)
        assert not Entry.objects.exists()

    @pytest.mark.parametrize("role", [Role.SUPERVISOR, Role.ADMINISTRATOR, Role.TRAINER])
    def test_takes_no_role_along_but_crew_member(self, cast, role):
        """An employer's administrator moved to the body would keep every employer."""
        who = person("una", "Una New", cast.northmoor, role)
        with pytest.raises(operations.NotYet):
            self.move(cast.max, who, cast.body)
        who.refresh_from_db()
        assert who.employer == cast.northmoor

    def test_takes_no_number_twice(self, cast):
        person("una", "Una New", cast.elsewhere, Role.CREW)
        Person.objects.filter(username="una").update(number="S-7")
        with pytest.raises(ValidationError, match="already has a person of that number"):
            self.move(cast.max, cast.ada, cast.elsewhere, "S-7")
        assert not Entry.objects.exists()
