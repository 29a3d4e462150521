"""What the database itself refuses, each with its sentence."""

from datetime import date

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from tests.cast import PASSWORD, START, Cast
from training.people.models import Crew, CrewMembership, Employer, Person, RoleHeld
from training.people.rules import Role


def assert_refused(row, sentence: str) -> None:
    """Prove that the form layer says the sentence and that the database refuses without it."""
    with pytest.raises(ValidationError, match=sentence):
        row.full_clean()
    with pytest.raises(IntegrityError), transaction.atomic():
        row.save()


class TestEmployer:
    def test_only_one_runs_the_site(self, cast: Cast):
        twin = Employer(name="Another body", slug="another", zone="Europe/London", is_body=True)
        assert_refused(twin, "Only one certification body can run this site.")

    def test_any_number_do_not_run_it(self, cast: Cast):
        Employer.objects.create(name="Third", slug="third", zone="Europe/London")
        assert Employer.objects.filter(is_body=False).count() == 3

    def test_has_a_zone_of_the_zone_database(self, cast: Cast):
        with pytest.raises(ValidationError, match="full name, such as Europe/London"):
            Employer(name="N", slug="n", zone="GMT+1 or so").full_clean()

    def test_is_known_by_its_name(self, cast: Cast):
        assert str(cast.northmoor) == "Northmoor Track"


class TestDatedRows:
    def test_a_role_does_not_end_before_it_starts(self, cast: Cast):
        row = RoleHeld(person=cast.ada, role=Role.SUPERVISOR, from_on=date(2026, 2, 2), until_on=date(2026, 2, 1))
        assert_refused(row, "Give a last day that is not before the first.")

    def test_a_time_in_a_crew_does_not_end_before_it_starts(self, cast: Cast):
        row = CrewMembership(person=cast.ben, crew=cast.crew, from_on=date(2026, 2, 2), until_on=date(2026, 2, 1))
        assert_refused(row, "Give a last day that is not before the first.")

    def test_one_day_is_long_enough(self, cast: Cast):
        day = date(2026, 2, 2)
        RoleHeld.objects.create(person=cast.ada, role=Role.SUPERVISOR, from_on=day, until_on=day)
        assert RoleHeld.objects.in_force_on(day).filter(person=cast.ada).count() == 2

    @pytest.mark.parametrize(
        ("on", "held"), [((2026, 2, 1), 0), ((2026, 2, 2), 1), ((2026, 2, 5), 1), ((2026, 2, 6), 0)]
    )
    def test_in_force_on_agrees_with_the_rule_at_both_ends(self, cast: Cast, on, held):
        RoleHeld.objects.create(
            person=cast.ada, role=Role.SUPERVISOR, from_on=date(2026, 2, 2), until_on=date(2026, 2, 5)
        )
        rows = RoleHeld.objects.in_force_on(date(*on)).filter(person=cast.ada, role=Role.SUPERVISOR)
        assert rows.count() == held


class TestRoleHeld:
    def test_is_held_once_from_a_day(self, cast: Cast):
        assert_refused(
            RoleHeld(person=cast.ada, role=Role.CREW, from_on=START), "already holds that role from that day"
        )

    def test_is_one_of_the_list(self, cast: Cast):
        row = RoleHeld(person=cast.ada, role="owner", from_on=START)
        with pytest.raises(ValidationError, match="Choose one of the roles in the list"):
            row.validate_constraints()
        with pytest.raises(IntegrityError), transaction.atomic():
            row.save()

    def test_names_person_role_and_day(self, cast: Cast):
        assert str(cast.ada.roles_held.get()) == f"{cast.ada.pk} crew 2020-01-01"


class TestCrew:
    def test_has_its_name_once_in_an_employer(self, cast: Cast):
        assert_refused(Crew(employer=cast.northmoor, name="Gang 1"), "already has a crew of that name")
        Crew.objects.create(employer=cast.elsewhere, name="Gang 1")

    def test_is_joined_once_on_a_day(self, cast: Cast):
        row = CrewMembership(person=cast.ada, crew=cast.crew, from_on=START)
        assert_refused(row, "already joins that crew on that day")

    def test_is_known_by_its_name(self, cast: Cast):
        assert str(cast.crew) == "Gang 1"
        assert str(cast.ada.crew_memberships.get()) == f"{cast.ada.pk} in {cast.crew.pk} from 2020-01-01"


class TestPerson:
    def test_is_kept_with_a_hashed_password(self, cast: Cast):
        assert cast.ada.password != PASSWORD
        assert cast.ada.check_password(PASSWORD)

    def test_without_a_password_cannot_sign_in(self, cast: Cast):
        made = Person.objects.create_user("new", name="New", employer=cast.northmoor)
        assert not made.has_usable_password()

    def test_has_a_user_name_of_their_own(self, cast: Cast):
        twin = Person(username="ada", name="Twin", employer=cast.elsewhere, password="x")
        assert_refused(twin, "User name")

    def test_is_known_by_name(self, cast: Cast):
        assert str(cast.ada) == "Ada Crew"
