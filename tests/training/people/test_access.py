"""Who is asking, and whom they may see."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.core.exceptions import PermissionDenied
from django.http import Http404
from django.test import RequestFactory

from tests.cast import AT, ON, Cast, person
from training.people import access
from training.people.models import Crew
from training.people.rules import Role


def viewer(who, *, at: datetime = AT) -> access.Viewer:
    request = RequestFactory().get("/")
    request.user = who
    return access.viewer_for(request, at=at)


class TestViewer:
    def test_has_the_roles_held_on_the_day(self, cast: Cast):
        assert viewer(cast.sol).roles == {Role.SUPERVISOR}
        cast.sol.roles_held.update(until_on=ON - timedelta(days=1))
        assert viewer(cast.sol).roles == frozenset()

    def test_stands_on_the_day_of_their_employers_zone(self, cast: Cast):
        cast.elsewhere.zone = "Pacific/Auckland"
        cast.elsewhere.save()
        # 12:00 UTC is past midnight in Auckland, UTC+13 in November by the IANA zone database.
        noon = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)
        cast.quin.refresh_from_db()
        assert viewer(cast.quin, at=noon).on == date(2026, 11, 26)
        assert viewer(cast.ada, at=noon).on == date(2026, 11, 25)

    @pytest.mark.parametrize(
        ("name", "across"), [("ada", False), ("sol", False), ("tess", True), ("max", True), ("rex", False)]
    )
    def test_works_across_employers_only_for_the_body(self, cast: Cast, name, across):
        assert viewer(getattr(cast, name)).across is across

    def test_require_lets_one_of_the_roles_through(self, cast: Cast):
        seen = viewer(cast.sol)
        assert seen.require(Role.TRAINER, Role.SUPERVISOR) is seen
        with pytest.raises(PermissionDenied, match="does not include this page"):
            seen.require(Role.TRAINER)


class TestPeople:
    @pytest.mark.parametrize(
        ("name", "seen"),
        [
            ("ada", {"ada"}),
            ("sol", {"ada", "ben", "sol"}),
            ("rex", {"quin", "rex"}),
            ("tess", {"ada", "ben", "sol", "tess", "olga", "max", "dora", "quin", "rex"}),
            ("max", {"ada", "ben", "sol", "tess", "olga", "max", "dora", "quin", "rex"}),
        ],
    )
    def test_are_seen_by_role_and_employer(self, cast: Cast, name, seen):
        people = access.people_seen_by(viewer(getattr(cast, name)))
        assert set(people.values_list("username", flat=True)) == seen

    def test_of_another_employer_are_not_found(self, cast: Cast):
        assert access.person_for(viewer(cast.sol), cast.ada.pk) == cast.ada
        for stranger in (cast.quin.pk, 999_999):
            with pytest.raises(Http404):
                access.person_for(viewer(cast.sol), stranger)


class TestAdministered:
    def test_are_everyone_for_the_body_and_colleagues_for_an_employer(self, cast: Cast):
        own = person("nora", "Nora", cast.northmoor, Role.ADMINISTRATOR)
        names = access.people_administered_by(viewer(own)).values_list("username", flat=True)
        assert set(names) == {"ada", "ben", "sol", "nora"}
        assert access.people_administered_by(viewer(cast.max)).count() == 10
        assert access.person_administered_by(viewer(own), cast.ada.pk) == cast.ada

    @pytest.mark.parametrize("name", ["ada", "sol", "tess"])
    def test_need_the_role(self, cast: Cast, name):
        asking = viewer(getattr(cast, name))
        with pytest.raises(PermissionDenied):
            access.people_administered_by(asking)
        with pytest.raises(PermissionDenied):
            access.person_administered_by(asking, cast.ada.pk)

    def test_of_another_employer_are_not_found(self, cast: Cast):
        own = person("nora", "Nora", cast.northmoor, Role.ADMINISTRATOR)
        with pytest.raises(Http404):
            access.person_administered_by(viewer(own), cast.quin.pk)


class TestChoices:
    def test_of_crews_and_employers_end_at_the_own_employer(self, cast: Cast):
        Crew.objects.create(employer=cast.elsewhere, name="Gang 9")
        assert [crew.name for crew in access.crews_seen_by(viewer(cast.sol))] == ["Gang 1"]
        assert [crew.name for crew in access.crews_seen_by(viewer(cast.max))] == ["Gang 9", "Gang 1"]
        assert list(access.employers_seen_by(viewer(cast.sol))) == [cast.northmoor]
        assert access.employers_seen_by(viewer(cast.max)).count() == 3
