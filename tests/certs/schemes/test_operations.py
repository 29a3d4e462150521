"""Loading schemes, giving permissions, recording training."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from certs.schemes import operations, queries
from certs.schemes.models import Authority, Scheme, SchemeIssue, TrainingAct
from certs.schemes.rules import Act
from tests.cast import AT, ON
from tests.certs.factory import scheme_issue, scheme_spec
from training.content.practicals import CheckSpec
from training.content.tally import Tally
from training.ledger.models import Entry

DAY = timedelta(days=1)
CHECK = CheckSpec(module="setup", slug="pack", step="setup.pack", text="Meters", good="so", critical=True, weight=2)


def load(*specs, checks=(CHECK,)):
    return operations.load(specs, checks=checks, at=AT)


def grant(cast, **changes):
    facts = {
        "person": cast.olga, "scheme": scheme_issue().scheme, "act": Act.ASSESSES, "from_on": ON, "until_on": None,
        "by": cast.max, "at": AT, "on": ON,
    }  # fmt: skip
    return operations.grant(**facts | changes)


@pytest.mark.django_db
class TestLoad:
    def test_twice_changes_nothing(self):
        assert load(scheme_spec()) == Tally(new=1)
        assert load(scheme_spec()) == Tally(unchanged=1)
        issue = queries.current_issue("bonds")
        assert queries.spec(issue) == scheme_spec()
        assert queries.checks(issue) == (CHECK,)

    def test_a_new_issue_leaves_the_old_one(self):
        load(scheme_spec())
        assert load(scheme_spec(issue=2, bonds=5)) == Tally(revised=1)
        old, new = SchemeIssue.objects.order_by("number")
        assert (queries.spec(old).bonds, queries.spec(new).bonds) == (3, 5)
        assert queries.current_issue("bonds") == new

    def test_refuses_every_changed_issue_by_name(self):
        load(scheme_spec(), scheme_spec(slug="leads"))
        with pytest.raises(operations.IssuesRefused) as refused:
            load(scheme_spec(bonds=4), scheme_spec(slug="leads", joint_limit=Decimal(250)))
        assert len(refused.value.sentences) == 2
        assert refused.value.sentences[0].startswith("bonds, issue 1: its content")
        assert refused.value.sentences[1].startswith("leads, issue 1: its content")
        assert queries.spec(queries.current_issue("bonds")).bonds == 3

    def test_refuses_a_changed_check_under_the_same_issue(self):
        load(scheme_spec())
        changed = CheckSpec(**CHECK.as_json() | {"critical": False})
        with pytest.raises(operations.IssuesRefused, match="practical checks changed"):
            load(scheme_spec(), checks=[changed])

    def test_refuses_an_older_issue(self):
        load(scheme_spec(issue=2))
        with pytest.raises(operations.IssuesRefused, match="issue 2 is on record"):
            load(scheme_spec())

    def test_refuses_a_practical_without_checks(self):
        with pytest.raises(operations.IssuesRefused, match="module setup has no practical checks"):
            load(scheme_spec(), checks=[])
        assert not Scheme.objects.exists()

    def test_retires_what_is_gone_and_takes_it_back(self):
        load(scheme_spec(), scheme_spec(slug="leads"))
        assert load(scheme_spec()) == Tally(unchanged=1, retired=1)
        assert load(scheme_spec(), scheme_spec(slug="leads")) == Tally(unchanged=1, revised=1)

    def test_knows_no_issue_of_an_unknown_scheme(self):
        with pytest.raises(SchemeIssue.DoesNotExist):
            queries.current_issue("none")


class TestGrant:
    def test_holds_on_its_days(self, cast):
        scheme = grant(cast, from_on=ON, until_on=ON + DAY).scheme
        held = [queries.may(cast.olga, scheme, Act.ASSESSES, ON + n * DAY) for n in (-1, 0, 1, 2)]
        assert held == [False, True, True, False]
        assert not queries.may(cast.olga, scheme, Act.DECIDES, ON)
        cast.olga.is_active = False
        assert not queries.may(cast.olga, scheme, Act.ASSESSES, ON)

    def test_sent_twice_is_one(self, cast):
        assert grant(cast) == grant(cast)
        assert Entry.objects.get().act == "permission given"

    def test_again_with_a_last_day_ends_it(self, cast):
        grant(cast, from_on=ON - 90 * DAY)
        grant(cast, from_on=ON - 90 * DAY, until_on=ON - DAY, by=cast.dora)
        row = Authority.objects.get()
        assert (row.until_on, row.granted_by) == (ON - DAY, cast.dora)
        assert list(Entry.objects.order_by("seq").values_list("act", flat=True)) == [
            "permission given",
            "permission changed",
        ]

    @pytest.mark.parametrize(
        ("who", "change", "match"),
        [
            ("ada", {}, "Only a trainer or an administrator"),
            ("olga", {"until_on": ON - DAY}, "not before the first"),
        ],
    )
    def test_is_refused_with_the_reason(self, cast, who, change, match):
        with pytest.raises(operations.NotGranted, match=match):
            grant(cast, person=getattr(cast, who), **change)
        assert not Authority.objects.exists()

    def test_is_refused_to_a_closed_account(self, cast):
        cast.olga.is_active = False
        cast.olga.save()
        with pytest.raises(operations.NotGranted, match="account is closed"):
            grant(cast)


class TestRecordTraining:
    def record(self, cast, **changes):
        facts = {
            "trainer": cast.tess, "candidate": cast.ada, "scheme": scheme_issue().scheme, "ended_on": ON,
            "at": AT, "on": ON,
        }  # fmt: skip
        return operations.record_training(**facts | changes)

    def test_is_kept_once(self, cast):
        grant(cast, person=cast.tess, act=Act.TRAINS, from_on=ON - 9 * DAY)
        assert self.record(cast) == self.record(cast)
        self.record(cast, ended_on=ON - 3 * DAY)
        assert queries.last_training(cast.tess, cast.ada, scheme_issue().scheme) == ON
        assert queries.last_training(cast.olga, cast.ada, scheme_issue().scheme) is None
        assert Entry.objects.filter(act="training recorded").count() == 2

    @pytest.mark.parametrize(
        ("change", "match"),
        [
            ({"ended_on": ON + DAY}, "when it has ended"),
            ({"ended_on": ON - 10 * DAY}, "on that day"),
        ],
    )
    def test_is_refused_with_the_reason(self, cast, change, match):
        grant(cast, person=cast.tess, act=Act.TRAINS, from_on=ON - 9 * DAY)
        with pytest.raises(operations.NotRecorded, match=match):
            self.record(cast, **change)

    def test_of_oneself_is_refused(self, cast):
        with pytest.raises(operations.NotRecorded, match="Nobody trains themself"):
            self.record(cast, candidate=cast.tess)


class TestConstraints:
    """The database keeps the promise, and its message is a sentence."""

    def refused(self, row, message):
        with pytest.raises(ValidationError, match=message):
            row.full_clean()
        with pytest.raises(IntegrityError), transaction.atomic():
            row.save()

    def test_an_issue_number_is_used_once(self, cast):
        issue = scheme_issue()
        issue.pk = None
        self.refused(issue, "already has an issue of that number")

    def test_a_permission_starts_once_a_day_and_ends_after(self, cast):
        row = grant(cast)
        row.pk = None
        self.refused(row, "already has that permission from that day")
        row.from_on, row.until_on = ON, ON - DAY
        self.refused(row, "not before the first")
        row.act, row.until_on = "flies", None
        with pytest.raises(IntegrityError), transaction.atomic():
            row.save()

    def test_nobody_trains_themself(self, cast):
        scheme = scheme_issue().scheme
        row = TrainingAct(scheme=scheme, trainer=cast.tess, candidate=cast.tess, ended_on=ON, recorded_at=AT)
        self.refused(row, "Nobody trains themself")
