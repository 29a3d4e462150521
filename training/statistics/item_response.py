"""How the chance of a right answer grows with what a person can do: the Rasch model and Birnbaum's of two parameters.

A person's ability is a number, normal with mean 0 and standard deviation 1 over the people examined. The chance of a
right answer is 1 / (1 + exp(-slope (ability - difficulty))). Items are fitted together, with ability integrated out
by Gauss-Hermite quadrature. Sources: Rasch (1960), Probabilistic Models; Birnbaum (1968), in Lord and Novick,
chapter 17; Bock and Aitkin (1981), Psychometrika 46, for the marginal likelihood; Louis (1982), J. R. Stat. Soc. B
44, for the observed information.
"""

from dataclasses import dataclass

import numpy as np
import scipy
from numpy.typing import ArrayLike

from training.statistics.matrix import Numbers, TooLittle, column, matrix

# More change nothing in the eighth figure, even where slopes are steep.
NODES = 61
# A slope beyond the second is a step, which the data hold nothing to bound; below the first there is no curve.
FLATTEST, STEEPEST = 1e-3, 25.0


@dataclass(frozen=True, slots=True)
class Curves:
    """Fitted items, each array of shape (items,), on the scale of ability; an error of 0 marks a fixed slope.

    Errors are standard errors from the observed information; `log_likelihood` is the marginal one, natural log.
    """

    difficulty: Numbers
    slope: Numbers
    difficulty_error: Numbers
    slope_error: Numbers
    log_likelihood: float

    def chance(self, ability: ArrayLike) -> Numbers:
        """Return the chance of a right answer at each ability (levels,), shape (levels, items)."""
        return np.asarray(scipy.special.expit(self.slope * (column(ability)[:, None] - self.difficulty)))

    def information(self, ability: ArrayLike) -> Numbers:
        """Return slope^2 P Q at each ability (levels,), shape (levels, items), in 1 / ability squared.

        A row adds up to that of the paper; one over its square root is the standard error of an ability.
        """
        right = self.chance(ability)
        return np.asarray(self.slope**2 * right * (1 - right))


def rasch(scores: ArrayLike) -> Curves:
    """Fit difficulties alone, every slope 1, to right (1) or wrong (0), shape (people, items), two items or more.

    Raises TooLittle for another score, an item that all or none got right, answers that do not go together, or a fit
    that does not settle.
    """
    table = _right_or_wrong(scores, columns=2)
    k = table.shape[1]
    return _fit(table, np.vstack([np.zeros((k, k)), np.eye(k)]), fixed=np.repeat([1.0, 0.0], k))


def one_slope(scores: ArrayLike) -> Curves:
    """Fit difficulties and one slope that all items share; arguments and errors as for `rasch`."""
    table = _right_or_wrong(scores, columns=2)
    k = table.shape[1]
    shared = np.zeros((2 * k, k + 1))
    shared[:k, k] = 1
    shared[k:, :k] = np.eye(k)
    return _fit(table, shared, fixed=np.zeros(2 * k))


def two_parameter(scores: ArrayLike) -> Curves:
    """Fit a difficulty and a slope an item, three items or more; arguments and errors as for `rasch`."""
    table = _right_or_wrong(scores, columns=3)
    k = table.shape[1]
    return _fit(table, np.eye(2 * k), fixed=np.zeros(2 * k))


def _right_or_wrong(scores: ArrayLike, *, columns: int) -> Numbers:
    table = matrix(scores, columns=columns)
    if not np.isin(table, (0.0, 1.0)).all():
        raise TooLittle("The curves want right (1) or wrong (0).")
    if (np.ptp(table, axis=0) == 0).any():
        raise TooLittle("An item that all or none got right has no place on the scale: leave it out.")
    return table


def _fit(table: Numbers, design: Numbers, *, fixed: Numbers) -> Curves:
    """Maximise over `free`, where slopes and intercepts, shape (2 items,), are `design @ free + fixed`."""
    likelihood = _Likelihood.of(table)
    people, k = table.shape

    def loss(free: Numbers) -> tuple[float, Numbers]:
        value, gradient = likelihood.value(design @ free + fixed)
        return -value / people, -(design.T @ gradient) / people

    def curvature(free: Numbers) -> Numbers:
        return np.asarray(design.T @ likelihood.information(design @ free + fixed) @ design / people)

    start = np.concatenate([np.ones(k), scipy.special.logit(table.mean(axis=0))])
    free = np.linalg.lstsq(design, start - fixed, rcond=None)[0]
    found = scipy.optimize.minimize(loss, free, jac=True, hess=curvature, method="trust-exact", options={"gtol": 1e-8})
    slope, intercept = np.split(design @ found.x + fixed, 2)
    information = curvature(found.x) * people
    if np.abs(slope).min() < FLATTEST:
        raise TooLittle("The chance of a right answer does not grow with ability, so no difficulty can be told.")
    if not found.success or np.abs(slope).max() > STEEPEST or np.linalg.eigvalsh(information)[0] <= 0:
        raise TooLittle("The curves do not settle: more people are needed, or two items say the same.")
    spread = design @ np.linalg.inv(information) @ design.T
    # Difficulty is -intercept / slope, so its error follows from both and how they go together.
    to_slope, to_intercept = np.diag(intercept / slope**2), np.diag(-1 / slope)
    turn = np.hstack([to_slope, to_intercept])
    return Curves(
        difficulty=-intercept / slope,
        slope=slope,
        difficulty_error=np.sqrt(np.diag(turn @ spread @ turn.T)),
        slope_error=np.sqrt(np.diag(spread)[:k]),
        log_likelihood=-float(found.fun) * people,
    )


@dataclass(frozen=True, slots=True)
class _Likelihood:
    """The marginal likelihood of answer patterns; parameters are k slopes, then k intercepts, shape (2 k,)."""

    patterns: Numbers
    counts: Numbers
    nodes: Numbers
    log_weights: Numbers

    @classmethod
    def of(cls, table: Numbers) -> "_Likelihood":
        """People who answered alike are one pattern with a count."""
        patterns, counts = np.unique(table, axis=0, return_counts=True)
        nodes, weights = np.polynomial.hermite_e.hermegauss(NODES)
        return cls(patterns, counts.astype(np.float64), nodes, np.log(weights / weights.sum()))

    def _posterior(self, parameters: Numbers) -> tuple[float, Numbers, Numbers]:
        """Return the log likelihood, the chances right (nodes, k), and how many of each pattern stand at each node."""
        slope, intercept = np.split(parameters, 2)
        line = np.outer(self.nodes, slope) + intercept
        joint = (
            self.patterns @ scipy.special.log_expit(line).T
            + (1 - self.patterns) @ scipy.special.log_expit(-line).T
            + self.log_weights
        )
        each = scipy.special.logsumexp(joint, axis=1)
        share = np.exp(joint - each[:, None])
        return float(self.counts @ each), np.asarray(scipy.special.expit(line)), share * self.counts[:, None]

    def value(self, parameters: Numbers) -> tuple[float, Numbers]:
        """Return the log likelihood and its gradient."""
        total, right, people = self._posterior(parameters)
        surplus = people.T @ self.patterns - people.sum(axis=0)[:, None] * right
        return total, np.concatenate([self.nodes @ surplus, surplus.sum(axis=0)])

    def information(self, parameters: Numbers) -> Numbers:
        """Return the observed information: what is known were abilities seen, less what hiding them costs."""
        _total, right, people = self._posterior(parameters)
        share = people / self.counts[:, None]
        by_slope = (share @ self.nodes)[:, None] * self.patterns - share @ (self.nodes[:, None] * right)
        mean = np.hstack([by_slope, self.patterns - share @ right])
        slopes, mixed, intercepts = (self._spread(self.nodes**power, right, people) for power in (2, 1, 0))
        return np.asarray(np.block([[slopes, mixed], [mixed, intercepts]]) + (mean.T * self.counts) @ mean)

    def _spread(self, weights: Numbers, right: Numbers, people: Numbers) -> Numbers:
        """Return what is known at the nodes less the squares of the surplus there, weighed, shape (k, k).

        The squares are multiplied out, so that nothing of the size of patterns by nodes by items is made.
        """
        held, weighed = people.sum(axis=0), weights[:, None] * right
        known = np.diag((held[:, None] * weighed * (1 - right)).sum(axis=0))
        across = (people.T @ self.patterns).T @ weighed
        squares = (self.patterns.T * (people @ weights)) @ self.patterns + (weighed.T * held) @ right
        return np.asarray(known - (squares - across - across.T))
