"""What a visit is for, how it stands, and why it cannot be asked for."""

from datetime import date

import pytest

from certs.records.rules import Step as Next
from certs.visits.rules import Objection, Standing, Step, objections, standing, steps

ON, BEFORE, AFTER = date(2026, 11, 25), date(2026, 11, 24), date(2026, 11, 26)


@pytest.mark.parametrize(
    ("upcoming", "invigilated", "expected"),
    [
        (Next.READ, True, (Step.PAPER, Step.PRACTICAL)),
        (Next.SIT, True, (Step.PAPER, Step.PRACTICAL)),
        (Next.SIT, False, (Step.PRACTICAL,)),
        (Next.PRACTICAL, True, (Step.PRACTICAL,)),
    ],
)
def test_steps(upcoming: Next, invigilated: bool, expected: tuple[Step, ...]) -> None:
    """A trainer is there for a paper only where it is invigilated and not passed yet."""
    assert steps(upcoming, invigilated=invigilated) == expected


@pytest.mark.parametrize(
    ("visit_on", "accepted", "called_off", "left", "expected"),
    [
        (AFTER, None, False, 1, Standing.ASKED),
        (AFTER, True, False, 1, Standing.ACCEPTED),
        (AFTER, False, False, 1, Standing.DECLINED),
        (AFTER, True, True, 0, Standing.CALLED_OFF),
        (ON, True, False, 1, Standing.ACCEPTED),
        (ON, True, False, 0, Standing.DONE),
        (BEFORE, None, False, 0, Standing.DONE),
        (BEFORE, True, False, 1, Standing.OVER),
        (AFTER, True, False, 0, Standing.ACCEPTED),
    ],
)
def test_standing(visit_on: date, accepted: bool | None, called_off: bool, left: int, expected: Standing) -> None:
    """The records tell that it is done, from its day on; what is called off stays so."""
    found = standing(visit_on=visit_on, accepted=accepted, called_off=called_off, left=left, on=ON)
    assert found is expected
    assert found.is_open == (found in {Standing.ASKED, Standing.ACCEPTED})


def test_objections() -> None:
    """Every reason is told at once; training ended 24 months before the day is far enough (decisions)."""
    fine = {
        "people": 1,
        "elsewhere": False,
        "may_assess": True,
        "trained_to": [None, date(2024, 11, 26)],
        "twice": False,
    }
    assert objections(visit_on=AFTER, on=ON, **fine) == ()  # type: ignore[arg-type]
    wrong = {"people": 0, "elsewhere": True, "may_assess": False, "trained_to": [date(2024, 11, 27)], "twice": True}
    wrong |= {"declined": True}
    assert objections(visit_on=BEFORE, on=ON, **wrong) == (*Objection,)  # type: ignore[arg-type]
