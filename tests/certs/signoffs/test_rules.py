"""Who may sign and decide, and what a sheet comes to."""

import json
from dataclasses import replace
from datetime import date, time, timedelta
from decimal import Decimal
from fractions import Fraction
from uuid import uuid4

import pytest

from certs.signoffs import rules
from certs.signoffs.rules import (
    Again,
    Bounds,
    Case,
    DecisionCase,
    Fault,
    Instrument,
    Leave,
    Look,
    Mark,
    Objection,
    Pause,
    Slip,
    Tool,
)
from tests.cast import ON
from tests.certs.signoffs.making import bond, sheet
from training.calc.pack import Verdict

BOUNDS = Bounds(
    joint_uohm=Decimal(120),
    pack_floor=Decimal(38),
    meter_percent=Decimal("0.5"),
    meter_digits=2,
    bonds=3,
    share=Fraction(4, 5),
)
MAY = Case(
    is_oneself=False,
    is_active=True,
    candidate_active=True,
    may_assess=True,
    trained_to=None,
    leave=Leave.NONE,
    passed_paper=True,
    unread=(),
    signed=False,
)
DECIDES = DecisionCase(
    is_oneself=False,
    is_active=True,
    candidate_active=True,
    may_decide=True,
    trained_to=None,
    assessed=False,
    passed=True,
    separate=True,
    decided=False,
    replaced=False,
)
RECENT = ON - timedelta(days=100)


class TestTooNear:
    @pytest.mark.parametrize(
        ("trained_to", "on", "near"),
        [
            (date(2024, 11, 25), date(2026, 11, 24), True),  # day 24 months - 1
            (date(2024, 11, 25), date(2026, 11, 25), False),  # the day itself
            (date(2024, 2, 29), date(2026, 2, 27), True),  # a leap day is clipped to the month's end
            (date(2024, 2, 29), date(2026, 2, 28), False),
            (date(2026, 12, 1), date(2026, 11, 25), True),  # trained after the practical
            (None, date(2026, 11, 25), False),
        ],
    )
    def test_ends_on_the_day_24_months_later(self, trained_to, on, near):
        assert rules.too_near(trained_to, on=on) is near


class TestObjections:
    def test_are_none_for_a_free_assessor(self):
        assert rules.objections(MAY, on=ON) == ()

    @pytest.mark.parametrize(
        ("change", "objection"),
        [
            ({"is_oneself": True}, Objection.ONESELF),
            ({"is_active": False}, Objection.CLOSED),
            ({"candidate_active": False}, Objection.CANDIDATE_CLOSED),
            ({"may_assess": False}, Objection.NOT_ASSESSOR),
            ({"trained_to": RECENT}, Objection.TRAINED),
            ({"trained_to": RECENT, "leave": Leave.ASKED}, Objection.NOT_APPROVED),
            ({"passed_paper": False}, Objection.PAPER),
            ({"unread": ("Setting up",)}, Objection.UNREAD),
            ({"signed": True}, Objection.SIGNED),
        ],
    )
    def test_names_each_reason(self, change, objection):
        assert rules.objections(replace(MAY, **change), on=ON) == (objection,)

    def test_names_all_reasons_at_once(self):
        case = replace(MAY, is_oneself=True, may_assess=False, passed_paper=False)
        assert rules.objections(case, on=ON) == (Objection.ONESELF, Objection.NOT_ASSESSOR, Objection.PAPER)

    def test_heeds_an_approved_exception(self):
        assert rules.objections(replace(MAY, trained_to=RECENT, leave=Leave.APPROVED), on=ON) == ()

    def test_never_lets_an_exception_lift_another_rule(self):
        case = replace(MAY, trained_to=RECENT, leave=Leave.APPROVED, is_oneself=True)
        assert rules.objections(case, on=ON) == (Objection.ONESELF,)


class TestDecisionObjections:
    def test_are_none_for_a_stranger_to_the_case(self):
        assert rules.decision_objections(DECIDES, on=ON) == ()

    @pytest.mark.parametrize(
        ("change", "objection"),
        [
            ({"is_oneself": True}, Objection.ONESELF),
            ({"is_active": False}, Objection.CLOSED),
            ({"candidate_active": False}, Objection.CANDIDATE_CLOSED),
            ({"may_decide": False}, Objection.NOT_DECIDER),
            ({"assessed": True}, Objection.ASSESSED),
            ({"trained_to": RECENT}, Objection.TRAINED),
            ({"passed": False}, Objection.NOT_PASSED),
            ({"separate": False}, Objection.NO_DECISION),
            ({"decided": True}, Objection.DECIDED),
            ({"replaced": True}, Objection.REPLACED),
        ],
    )
    def test_names_each_reason(self, change, objection):
        assert rules.decision_objections(replace(DECIDES, **change), on=ON) == (objection,)


class TestExceptionObjections:
    def test_are_none_when_only_training_stands_in_the_way(self):
        assert rules.exception_objections([Objection.TRAINED]) == ()
        assert rules.exception_objections([Objection.NOT_APPROVED]) == ()

    def test_keep_what_an_exception_cannot_lift(self):
        assert rules.exception_objections([Objection.TRAINED, Objection.PAPER]) == (Objection.PAPER,)

    def test_say_that_none_is_needed(self):
        assert rules.exception_objections([]) == (Objection.NO_NEED,)


class TestApprovalObjections:
    @pytest.mark.parametrize(
        ("change", "found"),
        [
            ({}, ()),
            ({"is_candidate": True}, (Objection.ONESELF,)),
            ({"is_assessor": True}, (Objection.ASSESSED,)),
            ({"is_active": False}, (Objection.CLOSED,)),
            ({"is_staff": False}, (Objection.NOT_DECIDER,)),
            ({"answered": True}, (Objection.DECIDED,)),
        ],
    )
    def test_ask_for_a_third_person_of_the_staff(self, change, found):
        facts = {"is_candidate": False, "is_assessor": False, "is_active": True, "is_staff": True, "answered": False}
        assert rules.approval_objections(**facts | change) == found


class TestFinding:
    @pytest.mark.parametrize(
        ("change", "fault"),
        [
            ({"visual_good": False}, Fault.LOOKS),
            ({"hammer_good": False}, Fault.HAMMER),
            ({"pack_v": Decimal("37.7")}, Fault.NO_GO),
            ({"pack_v": Decimal("38.24")}, Fault.UNPROVEN),
            ({"forward_uv": Decimal("1930.2")}, Fault.TOO_HIGH),
            ({"forward_uv": Decimal("-270.2")}, Fault.TOO_LOW),
        ],
    )
    def test_names_the_fault(self, change, fault):
        found = rules.finding(bond(**change), BOUNDS)
        assert (found.faults, found.good) == ((fault,), False)

    def test_counts_the_limit_itself_as_good(self):
        found = rules.finding(bond(forward_uv=Decimal(1200), reversed_uv=Decimal(-1200)), BOUNDS)
        assert (found.joint_uohm, found.good, found.pack) == (Decimal("120.00"), True, Verdict.GO)


class TestBounds:
    def test_say_from_which_reading_on_the_pack_is_proven(self):
        assert BOUNDS.go_v == Decimal("38.25")


class TestOutcome:
    def marks(self, *seen: str) -> list[Mark]:
        table = [("pack", True, 2), ("kit", False, 4), ("stance", False, 1)]
        return [
            Mark(slug=slug, critical=critical, weight=weight, seen=slug in seen) for slug, critical, weight in table
        ]

    def test_passes_at_the_share_itself(self):
        found = rules.outcome(self.marks("pack", "kit"), [rules.finding(bond(), BOUNDS)], needed=Fraction(4, 5))
        assert (found.passed, found.share, found.good) == (True, Fraction(4, 5), 1)

    def test_fails_below_the_share(self):
        assert not rules.outcome(self.marks("pack", "stance"), [], needed=Fraction(4, 5)).passed

    def test_fails_without_a_critical_check(self):
        found = rules.outcome(self.marks("kit", "stance"), [], needed=Fraction(4, 5))
        assert (found.passed, found.missed) == (False, ("pack",))

    def test_fails_with_one_bad_bond(self):
        findings = [rules.finding(one, BOUNDS) for one in (bond(), bond(hammer_good=False))]
        found = rules.outcome(self.marks("pack", "kit"), findings, needed=Fraction(4, 5))
        assert (found.passed, found.bad, found.good) == (False, (2,), 1)
        assert found.proves == Decimal("2.5")  # 1 of 2: 1 - sqrt(0.95) = 0.0253

    def test_asks_no_share_where_every_check_is_critical(self):
        assert rules.outcome(self.marks("pack")[:1], [], needed=Fraction(4, 5)).passed


class TestSlips:
    def test_are_none_on_a_good_sheet(self):
        assert rules.slips(sheet(), wanted=3, on=ON) == ()

    @pytest.mark.parametrize(
        ("change", "slip"),
        [
            ({"assessed_on": ON + timedelta(days=1), "calibrated_until": ON + timedelta(days=9)}, (Slip.FUTURE, 0)),
            ({"assessed_on": ON - timedelta(days=32)}, (Slip.LATE, 0)),
            ({"calibrated_until": ON - timedelta(days=1)}, (Slip.METER, 0)),
            ({"bonds": (bond(), bond())}, (Slip.BONDS, 0)),
            ({"confirmed": False}, (Slip.UNCONFIRMED, 0)),
            ({"bonds": (bond(), bond(reversed_uv=Decimal(730)), bond())}, (Slip.ORDER, 2)),
        ],
    )
    def test_name_what_to_put_right(self, change, slip):
        assert rules.slips(sheet(**change), wanted=3, on=ON) == (slip,)

    def test_let_a_correction_keep_its_old_day(self):
        old = sheet(assessed_on=ON - timedelta(days=300), replaces=uuid4())
        assert rules.slips(old, wanted=3, on=ON) == ()
        assert rules.slips(sheet(assessed_on=ON - timedelta(days=31)), wanted=3, on=ON) == ()


class TestStored:
    """A sheet written down as JSON and read back is the same sheet."""

    @pytest.mark.parametrize(
        "changes",
        [
            {},
            {"replaces": uuid4(), "remarks": "Wind", "leads_in": False},
            {
                "started": time(8, 10),
                "stopped": time(9, 55),
                "pauses": (Pause(time(8, 30), time(8, 40), "Train"),),
                "further": (Instrument(Tool.SET, "S-1", date(2027, 1, 1)),),
            },
        ],
    )
    def test_comes_back(self, changes):
        bonds = (
            bond(),
            bond(spot="2", meter="M-1", air_c=Decimal("-12.5"), cell_c=Decimal(4), leads_in=True, burn="flush"),
            bond(looks=frozenset(Look), again=Again.REPAIRED, why="Contact burnt", reversed_uv=Decimal("-470.5")),
        )
        written = sheet(bonds=bonds, **changes)
        stored = json.loads(json.dumps(rules.as_json(written)))
        assert rules.sheet_from(stored, confirmed=True) == written
        assert not rules.sheet_from(stored, confirmed=False).confirmed


class TestFurtherSlips:
    def test_names_the_instrument_that_is_out_of_date(self):
        old = Instrument(Tool.SPARE, "M-9", ON - timedelta(days=1))
        found = rules.slips(sheet(further=(Instrument(Tool.SET, "S-1", ON), old)), wanted=3, on=ON)
        assert found == ((Slip.METER, 2),)

    def test_asks_why_a_bond_was_made_again(self):
        bonds = (bond(), bond(again=Again.REPEATED), bond(again=Again.REPEATED, why="Ferrule cracked"))
        assert rules.slips(sheet(bonds=bonds), wanted=3, on=ON) == ((Slip.REASON, 2),)
