"""What loading an issue means, and when a permission or a training is not recorded."""

from datetime import timedelta

import pytest

from certs.schemes import rules
from certs.schemes.rules import Fate, Grantless, Untaught
from tests.cast import ON

DAY = timedelta(days=1)


class TestFate:
    @pytest.mark.parametrize(
        ("number", "digest", "stored", "fate"),
        [
            (1, "a", {}, Fate.FIRST),
            (2, "b", {1: "a"}, Fate.NEXT),
            (1, "a", {1: "a"}, Fate.SAME),
            (1, "b", {1: "a"}, Fate.CHANGED),
            (1, "a", {1: "a", 2: "b"}, Fate.OLDER),
        ],
    )
    def test_compares_with_what_is_on_record(self, number, digest, stored, fate):
        assert rules.fate(number, digest, stored=stored) is fate


class TestGrantObjections:
    @pytest.mark.parametrize(
        ("change", "found"),
        [
            ({}, ()),
            ({"until_on": ON}, ()),
            ({"until_on": ON - DAY}, (Grantless.ORDER,)),
            ({"is_active": False}, (Grantless.CLOSED,)),
            ({"is_staff": False}, (Grantless.NOT_STAFF,)),
            # One on record only gets a last day, whatever became of the person since.
            ({"is_known": True, "is_active": False, "is_staff": False, "until_on": ON}, ()),
            ({"is_known": True, "from_on": ON - 90 * DAY, "until_on": ON - DAY}, ()),
            ({"is_known": True, "from_on": ON - 90 * DAY, "until_on": ON - 2 * DAY}, (Grantless.PAST,)),
        ],
    )
    def test_name_each_reason(self, change, found):
        facts = {"from_on": ON, "until_on": None, "is_known": False, "is_active": True, "is_staff": True, "on": ON}
        assert rules.grant_objections(**facts | change) == found


class TestTrainingObjections:
    @pytest.mark.parametrize(
        ("change", "found"),
        [
            ({}, ()),
            ({"is_oneself": True}, (Untaught.ONESELF,)),
            ({"ended_on": ON + DAY}, (Untaught.FUTURE,)),
            ({"may_train": False}, (Untaught.MAY_NOT,)),
        ],
    )
    def test_name_each_reason(self, change, found):
        facts = {"is_oneself": False, "ended_on": ON, "may_train": True, "on": ON}
        assert rules.training_objections(**facts | change) == found
