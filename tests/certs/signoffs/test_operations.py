"""Signing, exceptions, decisions and corrections, through the operations."""

from datetime import date, timedelta
from decimal import Decimal
from threading import Barrier, Thread
from uuid import uuid4

import pytest
from django.db import IntegrityError, connection, transaction

from certs.cards.models import Card
from certs.cards.operations import measure
from certs.cards.rules import Step
from certs.schemes.models import Authority
from certs.schemes.rules import Act
from certs.signoffs import operations, queries
from certs.signoffs.models import AssessorException, Decision, Signoff
from certs.signoffs.models import TestBond as BondRow
from certs.signoffs.rules import Slip
from tests.cast import AT, ON, assemble
from tests.certs.signoffs.making import bond, lay, sheet
from training.ledger.models import Entry
from training.procedures.models import Revision
from training.quizzes.models import Remark

FREE = AT + timedelta(minutes=5)


def acts() -> list[str]:
    return list(Entry.objects.order_by("seq").values_list("act", flat=True))


def declare(ground, *, by=None):
    return operations.declare_exception(
        candidate=ground.cast.ada,
        scheme_issue=ground.straight,
        assessor=by or ground.cast.tess,
        why="Nobody else within 300 km",
        safeguard="Filmed",
        at=AT,
        on=ON,
    )


def decide(signoff, by, *, granted=True, reasons="Sound evidence"):
    return operations.decide(signoff=signoff, by=by, granted=granted, reasons=reasons, at=FREE, on=ON)


class TestSignOff:
    def test_issues_the_card_in_the_same_stroke(self, ground):
        signed = ground.sign()
        card = Card.objects.get()
        assert (card.evidence, card.person, card.issued_by) == (signed, ground.cast.ada, ground.cast.olga)
        assert acts() == ["practical signed", "card issued"]
        assert signed.bonds.count() == 3
        assert BondRow.objects.filter(good=True, joint_uohm=60).count() == 3
        assert (signed.limit_uohm, signed.limit_source) == (Decimal(120), "own figure")

    def test_keeps_a_failed_practical_without_a_card(self, ground):
        signed = ground.sign(bonds=(bond(), bond(), bond(hammer_good=False)))
        assert not signed.passed
        assert not Card.objects.exists()
        assert ground.sign().passed  # it can be seen again

    def test_fails_without_a_critical_check(self, ground):
        assert not ground.sign(seen=frozenset({"pack", "kit", "stance"})).passed

    def test_waits_for_the_decision_where_the_scheme_says_so(self, ground):
        assert ground.sign(scheme=ground.separate).passed
        assert not Card.objects.exists()

    def test_sent_twice_is_one_record(self, ground):
        key = uuid4()
        assert ground.sign(key=key) == ground.sign(key=key)
        assert (Signoff.objects.count(), Card.objects.count()) == (1, 1)

    def test_refuses_the_key_of_another_record(self, ground):
        key = uuid4()
        ground.sign(key=key)
        ground.ready(ground.cast.ben)
        with pytest.raises(operations.CannotCorrect, match="used for another record"):
            operations.sign_off(
                candidate=ground.cast.ben,
                scheme_issue=ground.straight,
                assessor=ground.cast.olga,
                sheet=sheet(key=key),
                at=AT,
                on=ON,
            )

    def test_puts_a_fingerprint_of_the_record_into_the_ledger(self, ground):
        signed = ground.sign()
        about = Entry.objects.get(act="practical signed").about
        assert about["sheet"] == operations.fingerprint(signed)
        BondRow.objects.filter(position=1).update(forward_uv=Decimal(731))
        assert about["sheet"] != operations.fingerprint(signed)

    @pytest.mark.parametrize(
        ("change", "slip"),
        [
            ({"calibrated_until": ON - timedelta(days=1)}, Slip.METER),
            ({"bonds": (bond(),)}, Slip.BONDS),
            ({"confirmed": False}, Slip.UNCONFIRMED),
            ({"assessed_on": ON + timedelta(days=1), "calibrated_until": date(2030, 1, 1)}, Slip.FUTURE),
        ],
    )
    def test_refuses_a_bad_sheet_at_every_door(self, ground, change, slip):
        with pytest.raises(operations.BadSheet) as refused:
            ground.sign(**change)
        assert refused.value.slips == ((slip, 0),)
        assert not Signoff.objects.exists()


class TestWhoMaySign:
    def refused(self, ground, by, match):
        with pytest.raises(operations.MayNotSign, match=match):
            ground.sign(by=by)
        assert not Signoff.objects.exists()
        assert acts() == []

    def test_not_the_candidate(self, ground):
        ground.allow(ground.cast.ada, Act.ASSESSES)
        self.refused(ground, ground.cast.ada, "Nobody signs for themself")

    def test_not_one_without_the_permission(self, ground):
        self.refused(ground, ground.cast.max, "may assess")

    def test_not_one_whose_permission_has_ended(self, ground):
        Authority.objects.filter(person=ground.cast.olga).update(until_on=ON - timedelta(days=1))
        self.refused(ground, ground.cast.olga, "may assess")

    def test_not_a_closed_account(self, ground):
        ground.cast.olga.is_active = False
        ground.cast.olga.save()
        ground.cast.olga.is_active = True  # the row decides, not what somebody holds in hand
        self.refused(ground, ground.cast.olga, "account is closed")

    def test_not_for_a_candidate_whose_account_is_closed(self, ground):
        ground.cast.ada.is_active = False
        ground.cast.ada.save()
        self.refused(ground, ground.cast.olga, "candidate's account is closed")

    def test_not_the_trainer(self, ground):
        self.refused(
            ground, ground.cast.tess, "You trained Ada Crew up to 26 Oct 2026, so you may assess from 26 Oct 2028"
        )

    @pytest.mark.parametrize(("ended_on", "may"), [(date(2024, 11, 26), False), (date(2024, 11, 25), True)])
    def test_the_trainer_is_free_24_months_later(self, ground, ended_on, may):
        ground.train(ground.cast.olga, ground.cast.ada, ended_on=ended_on)
        if may:
            assert ground.sign().passed
        else:
            self.refused(ground, ground.cast.olga, "You trained")

    def test_not_before_the_paper_is_passed(self, ground):
        ground.cast.ada.sittings.all().delete()
        self.refused(ground, ground.cast.olga, "has not passed the paper")

    def test_not_before_the_revision_in_force_is_read(self, ground):
        old = ground.revision
        Revision.objects.create(
            module=old.module, number=2, language="en", title="Setting up", order=1, body={"steps": []},
            digest="1" * 64, changed="Shorter.", loaded_at=AT,
        )  # fmt: skip
        self.refused(ground, ground.cast.olga, "has not read the revision in force of: Setting up")

    def test_not_twice(self, ground):
        ground.sign()
        with pytest.raises(operations.MayNotSign, match="signed already"):
            ground.sign(by=ground.cast.olga)

    def test_again_once_the_paper_is_passed_again(self, ground):
        first = ground.sign()
        ground.ready(ground.cast.ada, on=ON)
        assert ground.sign() != first
        assert Card.objects.filter(closed_at=None).count() == 1


class TestException:
    def test_lets_the_trainer_sign_once_a_third_person_approved(self, ground):
        asked = declare(ground)
        with pytest.raises(operations.MayNotSign, match="waits for a third person"):
            ground.sign(by=ground.cast.tess)
        operations.approve_exception(exception=asked, by=ground.cast.max, at=AT, on=ON)
        signed = ground.sign(by=ground.cast.tess)
        assert signed.exception == asked
        assert acts() == ["exception declared", "exception approved", "practical signed", "card issued"]

    def test_declared_or_approved_twice_is_one(self, ground):
        asked = declare(ground)
        assert declare(ground) == asked
        for by in (ground.cast.max, ground.cast.dora):
            operations.approve_exception(exception=asked, by=by, at=AT, on=ON)
        assert AssessorException.objects.get().approved_by == ground.cast.max
        assert acts() == ["exception declared", "exception approved"]

    def test_serves_one_practical(self, ground):
        operations.approve_exception(exception=declare(ground), by=ground.cast.max, at=AT, on=ON)
        ground.sign(by=ground.cast.tess, seen=frozenset())
        with pytest.raises(operations.MayNotSign, match="You trained"):
            ground.sign(by=ground.cast.tess)

    def test_is_not_shown_on_the_record_of_one_who_needed_none(self, ground):
        assert ground.sign().exception is None

    def test_is_refused_to_one_who_needs_none(self, ground):
        with pytest.raises(operations.NoException, match="You need no exception"):
            declare(ground, by=ground.cast.olga)

    @pytest.mark.parametrize("who", ["tess", "ada", "sol", "ben"])
    def test_is_approved_by_a_third_person_of_the_staff_only(self, ground, who):
        asked = declare(ground)
        with pytest.raises(operations.NoException):
            operations.approve_exception(exception=asked, by=getattr(ground.cast, who), at=AT, on=ON)

    def test_never_reaches_the_decision(self, ground):
        ground.allow(ground.cast.tess, Act.DECIDES)
        asked = declare(ground)
        operations.approve_exception(exception=asked, by=ground.cast.max, at=AT, on=ON)
        with pytest.raises(operations.MayNotDecide, match="You trained Ada Crew"):
            decide(ground.sign(scheme=ground.separate), ground.cast.tess)


class TestDecide:
    def test_grants_the_card(self, ground):
        signed = ground.sign(scheme=ground.separate)
        decide(signed, ground.cast.dora)
        assert Card.objects.get().issued_by == ground.cast.dora
        assert acts() == ["practical signed", "practical decided", "card issued"]

    def test_refusing_keeps_the_reasons_and_opens_a_new_practical(self, ground):
        signed = ground.sign(scheme=ground.separate)
        decide(signed, ground.cast.dora, granted=False, reasons="Readings look copied")
        assert Decision.objects.get().reasons == "Readings look copied"
        assert not Card.objects.exists()
        assert ground.sign(scheme=ground.separate).passed

    def test_sent_twice_is_one_decision(self, ground):
        signed = ground.sign(scheme=ground.separate)
        assert decide(signed, ground.cast.dora) == decide(signed, ground.cast.dora)
        assert Card.objects.count() == 1

    def test_is_not_turned_round(self, ground):
        signed = ground.sign(scheme=ground.separate)
        decide(signed, ground.cast.dora)
        with pytest.raises(operations.MayNotDecide, match="on record already"):
            decide(signed, ground.cast.dora, granted=False)

    @pytest.mark.parametrize(
        ("who", "match"), [("olga", "You assessed this candidate"), ("tess", "You trained"), ("ada", "their own card")]
    )
    def test_is_refused_to_those_who_trained_or_assessed(self, ground, who, match):
        person = getattr(ground.cast, who)
        ground.allow(person, Act.DECIDES)
        with pytest.raises(operations.MayNotDecide, match=match):
            decide(ground.sign(scheme=ground.separate), person)

    def test_grants_nothing_on_a_paper_that_no_longer_counts_as_passed(self, ground):
        """Marked again since the practical, and failed: the card can be refused, not granted."""
        signed = ground.sign(scheme=ground.separate)
        marks = {"was_numerator": 1, "was_denominator": 1, "earned_numerator": 0, "earned_denominator": 1}
        facts = {"was_passed": True, "passed": False, "reason": "The key was wrong.", "by": ground.cast.max, "at": FREE}
        Remark.objects.create(sitting=signed.sitting, number=1, **marks, **facts)
        with pytest.raises(operations.MayNotDecide, match="has not passed the paper"):
            decide(signed, ground.cast.dora)
        decide(signed, ground.cast.dora, granted=False)
        assert not Card.objects.exists()

    def test_is_refused_without_the_permission_or_reasons(self, ground):
        signed = ground.sign(scheme=ground.separate)
        with pytest.raises(operations.MayNotDecide, match="may decide"):
            decide(signed, ground.cast.max)
        with pytest.raises(operations.MayNotDecide, match="Write the reasons"):
            decide(signed, ground.cast.dora, reasons=" ")

    def test_is_refused_for_a_failed_practical_and_for_a_scheme_without(self, ground):
        with pytest.raises(operations.MayNotDecide, match="not passed"):
            decide(ground.sign(scheme=ground.separate, seen=frozenset()), ground.cast.dora)
        with pytest.raises(operations.MayNotDecide, match="straight to the card"):
            decide(ground.sign(), ground.cast.dora)


class TestCorrection:
    def test_replaces_the_record_and_the_card(self, ground):
        old = ground.sign()
        new = ground.sign(replaces=old.pk, place="Yard 4")
        assert (new.replaces, new.sitting) == (old, old.sitting)
        assert list(queries.counting()) == [new]
        assert Card.objects.get(closed_at=None).evidence == new

    def test_that_fails_suspends_the_card(self, ground):
        old = ground.sign()
        ground.sign(replaces=old.pk, seen=frozenset())
        assert Card.objects.get().measures.get().step == Step.SUSPENDED
        assert not queries.counting().exists()

    def test_that_fails_before_there_is_a_card_suspends_nothing(self, ground):
        old = ground.sign(scheme=ground.separate)
        assert not ground.sign(scheme=ground.separate, replaces=old.pk, seen=frozenset()).passed

    def test_that_fails_leaves_a_suspended_card_alone(self, ground):
        old = ground.sign()
        measure(card=Card.objects.get(), step=Step.SUSPENDED, by=ground.cast.max, reason="Doubt", on=ON, at=AT)
        ground.sign(replaces=old.pk, seen=frozenset())
        assert Card.objects.get().measures.count() == 1

    def test_needs_a_record_of_this_candidate_that_nothing_replaced(self, ground):
        old = ground.sign()
        with pytest.raises(operations.CannotCorrect, match="no such record"):
            ground.sign(replaces=uuid4())
        with pytest.raises(operations.CannotCorrect, match="no such record"):
            ground.sign(scheme=ground.separate, replaces=old.pk)
        ground.sign(replaces=old.pk)
        with pytest.raises(operations.CannotCorrect, match="A later record"):
            ground.sign(replaces=old.pk)

    def test_of_a_record_under_exception_uses_the_same_exception(self, ground):
        asked = declare(ground)
        operations.approve_exception(exception=asked, by=ground.cast.max, at=AT, on=ON)
        old = ground.sign(by=ground.cast.tess)
        assert ground.sign(by=ground.cast.tess, replaces=old.pk).exception == asked


class TestConstraints:
    """The database refuses what no operation would write."""

    def refused(self, name, row, **changes):
        for field, value in changes.items():
            setattr(row, field, value)
        with pytest.raises(IntegrityError, match=name), transaction.atomic():
            row.save()

    def test_nobody_signs_their_own_practical(self, ground):
        self.refused("certs_signoff_not_oneself", ground.sign(), assessor=ground.cast.ada)

    def test_the_meter_is_in_date(self, ground):
        self.refused("certs_signoff_meter_in_date", ground.sign(), calibrated_until=ON - timedelta(days=1))

    def test_a_bond_has_its_own_number_and_a_current(self, ground):
        first = ground.sign().bonds.get(position=1)
        self.refused("certs_testbond_current_above_zero", first, current_a=0)
        with pytest.raises(IntegrityError), transaction.atomic():
            BondRow.objects.filter(pk=first.pk).update(position=2)

    def test_a_decision_has_reasons(self, ground):
        signed = ground.sign(scheme=ground.separate)
        self.refused(
            "certs_decision_has_reasons", Decision(signoff=signed, by=ground.cast.dora, at=AT, granted=True, reasons="")
        )

    def test_an_exception_takes_three_people(self, ground):
        asked = declare(ground)
        self.refused("certs_exception_third_person", asked, approved_by=ground.cast.tess, approved_at=AT)
        asked.refresh_from_db()
        self.refused("certs_exception_not_oneself", asked, candidate=ground.cast.tess)


@pytest.mark.both
@pytest.mark.django_db(transaction=True)
class TestTwoAtOnce:
    """Two assessors who sign one candidate at the same time."""

    def test_one_wins_and_there_is_one_card(self):
        ground = lay(assemble())
        ground.allow(ground.cast.max, Act.ASSESSES)
        start, said = Barrier(2), []

        def sign(by):
            try:
                start.wait(timeout=20)
                said.append(ground.sign(by=by))
            except operations.MayNotSign as refused:
                said.append(refused)
            finally:
                connection.close()

        threads = [Thread(target=sign, args=[by]) for by in (ground.cast.olga, ground.cast.max)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join(timeout=60)
        assert sorted(type(one).__name__ for one in said) == ["MayNotSign", "Signoff"]
        assert (Signoff.objects.count(), Card.objects.count()) == (1, 1)
