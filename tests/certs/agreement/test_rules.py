"""Which practicals are marked twice, who marks them, and the figures of two assessors."""

from fractions import Fraction
from typing import ClassVar
from uuid import UUID, uuid5

import pytest

from certs.agreement.rules import (
    LEAST_A_YEAR,
    Figures,
    Objection,
    Sample,
    Table,
    carries,
    figures,
    lot,
    objections,
    sample,
    table,
)

SPACE = UUID(int=1)


def practicals(n: int) -> list[UUID]:
    return [uuid5(SPACE, str(number)) for number in range(n)]


class TestLot:
    def test_is_told_by_the_number_alone(self) -> None:
        """Between 0 and 1, the same for ever: SHA-256 of FIPS 180-4, here by coreutils' sha256sum.

        printf 'double marking \\0...\\001' (15 characters and 16 bytes) | sha256sum
        """
        assert lot(UUID(int=1)) == Fraction(0x4C02EC66A3C2DB34, 2**64)
        assert all(0 <= lot(one) < 1 for one in practicals(50))

    def test_falls_evenly(self) -> None:
        """Of 10 000 about a tenth lie in the lowest tenth: 1000 +- 90 is three standard errors."""
        low = sum(lot(one) < Fraction(1, 10) for one in practicals(10_000))
        assert 910 <= low <= 1090


class TestSample:
    @pytest.mark.parametrize(("signed", "least"), [(0, 0), (7, 7), (20, 20), (60, 20), (199, 20), (1000, 100)])
    def test_is_a_tenth_and_at_least_twenty(self, signed: int, least: int) -> None:
        """All where there are fewer than twenty; never many more than a tenth."""
        found = sample(practicals(signed))
        assert least <= len(found) <= max(least, LEAST_A_YEAR) + signed // 20
        assert found <= set(practicals(signed))

    def test_keeps_the_lowest_tenth_whatever_comes_later(self) -> None:
        """What was asked of a second assessor by its own lot stays asked; the order of signing does not matter."""
        few, many = practicals(40), practicals(400)
        low = {one for one in few if lot(one) < Fraction(1, 10)}
        assert low
        assert low <= sample(few) & sample(many)
        assert sample(reversed(many)) == sample(many)


class TestObjections:
    NOTHING: ClassVar = {
        "is_candidate": False,
        "is_first": False,
        "may_assess": True,
        "near": False,
        "decides": False,
        "marked": False,
    }

    @pytest.mark.parametrize(
        ("fact", "found"),
        [
            ({"is_candidate": True}, Objection.CANDIDATE),
            ({"is_first": True}, Objection.FIRST),
            ({"may_assess": False}, Objection.NOT_ASSESSOR),
            ({"near": True}, Objection.TRAINED),
            ({"decides": True}, Objection.DECIDES),
            ({"marked": True}, Objection.MARKED),
        ],
    )
    def test_name_each_reason(self, fact: dict[str, bool], found: Objection) -> None:
        """The second assessor is another person, holds the permission and did not train the candidate."""
        assert objections(**self.NOTHING) == ()
        assert objections(**(self.NOTHING | fact)) == (found,)


class TestTable:
    def test_counts_pairs(self) -> None:
        """The first assessor's mark before the second's."""
        pairs = [(True, True)] * 3 + [(True, False)] * 2 + [(False, True)] + [(False, False)] * 4
        assert table(pairs) == Table(3, 2, 1, 4)
        assert table(pairs).n == 10


class TestFigures:
    def test_show_that_kappa_collapses_where_nearly_all_pass(self) -> None:
        """96/2/2/0: 96 % agreement, kappa -.020, and 2 po - 1 = .92 (Byrt, Bishop and Carlin 1993).

        By hand: po = .96, pe = .98 * .98 + .02 * .02 = .9608, kappa = (.96 - .9608) / (1 - .9608) = -.0204.
        """
        found = figures(Table(96, 2, 2, 0))
        assert (found.n, found.agreed, found.sample) == (100, 96, Sample.ENOUGH)
        assert found.kappa == pytest.approx((0.96 - 0.9608) / (1 - 0.9608), abs=1e-12)
        assert found.kappa == pytest.approx(-0.020, abs=5e-4)
        assert found.pabak == pytest.approx(0.92, abs=1e-12)
        # Wilson's limits of 96 of 100, as statsmodels' proportion_confint(96, 100, method="wilson") gives them.
        assert (round(found.limits.low, 3), round(found.limits.high, 3)) == (0.902, 0.984)

    @pytest.mark.parametrize(
        ("counts", "width"),
        [(Table(9, 1, 1, 9), 0.26), (Table(23, 2, 3, 22), 0.17), (Table(45, 5, 5, 45), 0.12)],
    )
    def test_error_of_kappa_shrinks_with_the_sample(self, counts: Table, width: float) -> None:
        """At po .9 and pe .5 the 95 % half-width is .26, .17, .12; the plain 1.96 sqrt(po (1 - po) / n) / (1 - pe)."""
        found = figures(counts)
        assert found.error is not None
        assert 1.96 * found.error == pytest.approx(width, abs=0.01)

    def test_have_no_kappa_where_chance_explains_everything(self) -> None:
        """Both always said the same one thing: agreement is told, kappa is not defined."""
        found = figures(Table(both=40))
        assert found == Figures(40, 40, found.limits, Sample.PROVISIONAL, None, None, 1.0)

    @pytest.mark.parametrize(
        ("n", "found"),
        [(29, Sample.FEW), (30, Sample.PROVISIONAL), (99, Sample.PROVISIONAL), (100, Sample.ENOUGH)],
    )
    def test_carry_from_thirty_and_from_a_hundred(self, n: int, found: Sample) -> None:
        """Below 30 nothing is said but the counts."""
        assert carries(n) is found
