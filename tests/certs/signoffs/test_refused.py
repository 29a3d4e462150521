"""An exception that is refused, and what whoever answers it is told.

ISO/IEC 17024:2012, 5.2.3 and 6.2.2.3: impartiality is managed, and an examiner does not examine whom they trained
within two years unless it is shown to do no harm. That whoever may say yes may say no, that it is for good, and that
asking again is another act: common practice, no source.
"""

from datetime import date, timedelta

import pytest
from dateutil.relativedelta import relativedelta
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from certs.retention.queries import to_erase
from certs.schemes.models import Authority, TrainingAct
from certs.schemes.rules import Act
from certs.signoffs import operations, queries
from certs.signoffs.models import AssessorException
from tests.cast import AT, ON, START
from tests.certs.signoffs.making import Ground, page, sheet_url
from training.ledger.models import Entry
from training.people.models import Person

LATER = AT + timedelta(minutes=5)
WHY = "Olga Assessor can come within the week."
WAITING = reverse("signoffs:waiting")


def declare(ground: Ground, *, why: str = "Nobody else within 300 km") -> AssessorException:
    return operations.declare_exception(
        candidate=ground.cast.ada, scheme_issue=ground.straight, assessor=ground.cast.tess, why=why,
        safeguard="Filmed", at=AT, on=ON,
    )  # fmt: skip


def refuse(asked: AssessorException, by: Person, *, reason: str = WHY) -> AssessorException:
    return operations.refuse_exception(exception=asked, by=by, reason=reason, at=LATER, on=ON)


def approve(asked: AssessorException, by: Person) -> AssessorException:
    return operations.approve_exception(exception=asked, by=by, at=LATER, on=ON)


def url(asked: AssessorException) -> str:
    return reverse("signoffs:refuse", args=[asked.pk])


def acts() -> list[str]:
    return list(Entry.objects.order_by("seq").values_list("act", flat=True))


class TestRefusing:
    def test_is_kept_with_who_when_and_why(self, ground: Ground) -> None:
        done = refuse(declare(ground), ground.cast.max, reason=f"  {WHY} ")
        assert (done.refused_by, done.refused_at, done.refusal) == (ground.cast.max, LATER, WHY)
        last = Entry.objects.latest("seq")
        assert (last.act, last.by, last.at) == ("exception refused", ground.cast.max.pk, LATER)
        assert last.about == {"exception": done.pk, "person": ground.cast.ada.pk, "assessor": ground.cast.tess.pk}

    def test_lets_nobody_sign(self, ground: Ground) -> None:
        refuse(declare(ground), ground.cast.max)
        with pytest.raises(operations.MayNotSign, match="You trained Ada Crew up to"):
            ground.sign(by=ground.cast.tess)
        assert ground.sign(by=ground.cast.olga).exception is None

    def test_is_asked_anew_by_another_exception(self, ground: Ground) -> None:
        first = refuse(declare(ground), ground.cast.max)
        second = declare(ground, why="Olga Assessor is ill")
        assert second.pk != first.pk
        with pytest.raises(operations.MayNotSign, match="waits for a third person"):
            ground.sign(by=ground.cast.tess)
        approve(second, ground.cast.dora)
        assert ground.sign(by=ground.cast.tess).exception == second
        first.refresh_from_db()
        assert first.approved_at is None

    def test_is_done_once_and_by_one(self, ground: Ground) -> None:
        """Sent twice it is one; somebody else is told that it is answered."""
        asked = refuse(declare(ground), ground.cast.max)
        assert refuse(asked, ground.cast.max, reason="Another reason").refusal == WHY
        with pytest.raises(operations.NoException, match="answered already"):
            refuse(asked, ground.cast.dora)
        with pytest.raises(operations.NoException, match="answered already"):
            approve(asked, ground.cast.dora)
        assert acts() == ["exception declared", "exception refused"]

    def test_comes_too_late_once_it_is_approved(self, ground: Ground) -> None:
        asked = approve(declare(ground), ground.cast.max)
        for by in (ground.cast.max, ground.cast.dora):
            with pytest.raises(operations.NoException, match="answered already"):
                refuse(asked, by)
        assert ground.sign(by=ground.cast.tess).exception == asked

    @pytest.mark.parametrize("who", ["tess", "ada", "sol", "ben"])
    def test_is_for_who_may_approve(self, ground: Ground, who: str) -> None:
        with pytest.raises(operations.NoException):
            refuse(declare(ground), getattr(ground.cast, who))
        assert acts() == ["exception declared"]

    def test_has_a_reason(self, ground: Ground) -> None:
        with pytest.raises(operations.NoException, match="Say why"):
            refuse(declare(ground), ground.cast.max, reason=" \n")

    @pytest.mark.parametrize("change", ["assessor", "candidate", "no reason", "approved as well"])
    def test_is_held_by_the_database(self, ground: Ground, change: str) -> None:
        asked = declare(ground)
        facts = {"refused_by": ground.cast.max, "refused_at": AT, "refusal": WHY} | {
            "assessor": {"refused_by": ground.cast.tess},
            "candidate": {"refused_by": ground.cast.ada},
            "no reason": {"refusal": ""},
            "approved as well": {"approved_by": ground.cast.dora, "approved_at": AT},
        }[change]
        with pytest.raises(IntegrityError, match="certs_exception_refused_with_reason"), transaction.atomic():
            AssessorException.objects.filter(pk=asked.pk).update(**facts)

    def test_leaves_nothing_waiting(self, ground: Ground) -> None:
        """Neither for a third person nor in the way of erasing the candidate."""
        asked, waits = declare(ground), "An exception for an assessor waits for a third person."
        assert waits in to_erase(ground.cast.ada, on=ON, at=AT).against
        refuse(asked, ground.cast.max)
        assert waits not in to_erase(ground.cast.ada, on=ON, at=AT).against
        assert not queries.open_exceptions().exists()


@pytest.mark.usefixtures("today")
class TestPages:
    def test_ask_once_more_and_for_the_reason(self, ground: Ground) -> None:
        asked, client = declare(ground), ground.cast.client("max")
        assert f'href="{url(asked)}"' in client.get(WAITING).content.decode()
        shown = page(client.get(url(asked)))
        for said in ("Refuse that Tess Trainer assesses Ada Crew?", "cannot be undone", "300 km", "Filmed"):
            assert said in shown, said
        assert AssessorException.objects.get().refused_at is None
        shown = page(client.post(url(asked), {"reason": " "}))
        assert "Error:" in shown
        assert "Say why: the assessor and the candidate read it." in shown
        shown = page(client.post(url(asked), {"reason": WHY}, follow=True))
        assert "Refused. The reason is on record, and the assessor reads it." in shown
        assert "No exception waits." in shown

    def test_keep_what_was_typed_too_long(self, ground: Ground) -> None:
        shown = page(ground.cast.client("max").post(url(declare(ground)), {"reason": "far " * 501}))
        assert "at most 2000 characters" in shown
        assert "far far" in shown

    def test_tell_the_assessor(self, ground: Ground) -> None:
        refuse(declare(ground), ground.cast.max)
        client, says = ground.cast.client("tess"), f"Max Administrator refused your exception on 25 Nov 2026: {WHY}"
        again = reverse("signoffs:exception", args=[ground.cast.ada.pk, "straight"])
        for address in (WAITING, sheet_url(ground.cast.ada), again):
            assert says in page(client.get(address)), address
        assert f'href="{again}"' in client.get(WAITING).content.decode()
        assert says not in page(ground.cast.client("olga").get(WAITING))
        declare(ground, why="Olga Assessor is ill")
        assert "refused your exception" not in page(client.get(WAITING))

    def test_send_back_who_comes_too_late_or_may_not(self, ground: Ground) -> None:
        asked = declare(ground)
        shown = page(ground.cast.client("tess").get(url(asked), follow=True))
        assert "not by the assessor who asks for it" in shown
        refuse(asked, ground.cast.max)
        for answer in (
            ground.cast.client("dora").get(url(asked), follow=True),
            ground.cast.client("dora").post(url(asked), {"reason": "Mine"}, follow=True),
        ):
            assert "This exception is answered already." in page(answer)
        assert AssessorException.objects.get().refusal == WHY

    @pytest.mark.parametrize(("who", "status"), [("ada", 403), ("sol", 403), ("olga", 404), ("max", 404)])
    def test_open_for_trainers_and_administrators(self, ground: Ground, who: str, status: int) -> None:
        assert ground.cast.client(who).get(reverse("signoffs:refuse", args=[99])).status_code == status


class TestWhoElse:
    """Who needs no exception: may assess, is not the candidate, trained them at most up to 24 months before."""

    def says(self, ground: Ground, *, on: date = ON) -> str:
        return queries.who_else(ground.cast.ada, ground.straight.scheme, on=on)

    def test_is_said_by_name(self, ground: Ground) -> None:
        assert self.says(ground) == "Olga Assessor may assess Ada Crew without an exception."
        ground.allow(ground.cast.max, Act.ASSESSES)
        assert self.says(ground) == "Max Administrator and Olga Assessor may assess Ada Crew without an exception."

    def test_is_nobody_where_each_is_tied_gone_or_not_permitted(self, ground: Ground) -> None:
        ground.allow(ground.cast.ada, Act.ASSESSES)
        ground.allow(ground.cast.dora, Act.ASSESSES, until_on=ON - timedelta(days=1))
        ground.allow(ground.cast.max, Act.ASSESSES)
        Person.objects.filter(pk=ground.cast.max.pk).update(is_active=False)
        Authority.objects.filter(scheme=ground.straight.scheme, person=ground.cast.olga).delete()
        assert self.says(ground) == "Nobody else on record may assess Ada Crew without an exception."

    def test_counts_training_for_24_months(self, ground: Ground) -> None:
        """The two years of 6.2.2.3 as calendar months, counted by python-dateutil: tied the day before, then free."""
        TrainingAct.objects.create(
            scheme=ground.straight.scheme, trainer=ground.cast.olga, candidate=ground.cast.ada, ended_on=START,
            recorded_at=AT,
        )  # fmt: skip
        free = START + relativedelta(months=24)
        assert "Olga Assessor" not in self.says(ground, on=free - timedelta(days=1))
        assert "Olga Assessor" in self.says(ground, on=free)

    def test_names_six_and_counts_the_others(self, ground: Ground) -> None:
        for n in range(7):
            facts = {"employer": ground.cast.northmoor}
            ground.allow(Person.objects.create_user(f"a{n}", "x", name=f"A {n}", **facts), Act.ASSESSES)
        assert self.says(ground).startswith("A 0, A 1, A 2, A 3, A 4, A 5 and 2 others may assess Ada Crew")

    @pytest.mark.usefixtures("today")
    def test_stands_where_it_is_asked_and_answered(self, ground: Ground) -> None:
        asked, says = declare(ground), "Olga Assessor may assess Ada Crew without an exception."
        for who, address in (
            ("max", WAITING),
            ("max", url(asked)),
            ("tess", reverse("signoffs:exception", args=[ground.cast.ada.pk, "straight"])),
        ):
            assert says in page(ground.cast.client(who).get(address)), address
        assert approve(asked, ground.cast.max).approved_by == ground.cast.max

    def test_is_asked_in_the_same_number_of_queries_for_many(self, ground: Ground) -> None:
        asked = declare(ground)
        with CaptureQueriesContext(connection) as few:
            queries.asked(queries.open_exceptions(), ground.cast.max, on=ON)
        for _n in range(3):
            asked.pk = None
            asked.save()
        with CaptureQueriesContext(connection) as many:
            rows = queries.asked(queries.open_exceptions(), ground.cast.max, on=ON)
        assert (len(rows), len(many)) == (4, len(few))
