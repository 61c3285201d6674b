"""Which dimensions disagree, and which one is most probably wrong.

Data snooping: an adjusted measurement is doubted when its residual, divided
by the residual's own standard deviation, is larger than chance allows.
A doubted one is left out, the rest adjusted again, and what the rest says of
it compared with what may have been misread.

References
----------
W. Baarda, *A Testing Procedure for Use in Geodetic Networks*, Netherlands
Geodetic Commission, 1968 (normalised residuals; the limit 3.29 for one false
alarm in a thousand).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from model.adjustment import Adjusted, Drawing, adjust
from model.constraints import QUANTITIES, Equation, System
from model.dimensions import Measured, equations_of, read, written
from model.errors import InputError
from model.misreads import Reading, Reason, readings

__all__ = ["LIMIT", "UNCHECKED", "Network", "Suspect", "normalised", "suspects"]

FloatArray = NDArray[np.float64]

#: Normalised residual beyond which a measurement is doubted (one in a thousand).
LIMIT = 3.29
#: A redundancy below this checks nothing.
UNCHECKED = 1e-6
#: How many dimensions are tried as the wrong one, and how many may be wrong at once.
_TRIED, _WRONG = 6, 3
#: How likely a value is that no known slip explains, beside those that one does.
_UNEXPLAINED = 2e-3


@dataclass(frozen=True, eq=False)
class Network:
    """Everything that an adjustment needs, so that it can be repeated with less."""

    measured: System
    assumed: System
    drawing: Drawing
    size: float
    unit: str
    names: tuple[str, ...]

    def adjust(self, start: Adjusted | None = None, *, near: bool = True) -> Adjusted:
        """Adjust, from an earlier adjustment if there is one."""
        if start is None:
            return adjust(self.measured, self.assumed, self.drawing)
        return adjust(
            self.measured, self.assumed, self.drawing, start.points, start.view, near=near
        )

    def without(self, owner: int) -> Network:
        """The same network less one dimension."""
        less = self.measured.without(owner)
        return Network(less, self.assumed, self.drawing, self.size, self.unit, self.names)


class Suspect(NamedTuple):
    """A dimension that may be wrong, and what the others say that it should be.

    Attributes
    ----------
    owner : int
    value : float
        What the rest says of its first equation, in the equation's unit.
    sigma : float
        Standard deviation of the difference between that and what was written.
    miss : float
        That difference in standard deviations.
    text : str or None
        The reading that would fit.
    reason : str
    score : float
        The lower the more probable.
    """

    owner: int
    value: float
    sigma: float
    miss: float
    text: str | None
    reason: Reason
    score: float


def normalised(system: System, adjusted: Adjusted) -> dict[int, float]:
    """Largest normalised residual of each dimension that something checks."""
    largest: dict[int, float] = {}
    for owner, v, r in zip(system.owners, adjusted.residuals, adjusted.redundancies, strict=True):
        if owner >= 0 and r > UNCHECKED:
            largest[int(owner)] = max(largest.get(int(owner), 0.0), abs(float(v)) / math.sqrt(r))
    return largest


def agree(system: System, adjusted: Adjusted) -> bool:
    """Whether no residual is larger than chance allows."""
    return max(normalised(system, adjusted).values(), default=0.0) <= LIMIT


def suspects(
    network: Network,
    dimensions: Mapping[int, Measured],
    impossible: Sequence[Sequence[int]] = (),
    start: Adjusted | None = None,
) -> tuple[list[list[Suspect]], Network, Adjusted]:
    """Find the dimensions that must be wrong for the others to agree.

    Parameters
    ----------
    network : Network
    dimensions : mapping
        The measured dimensions by owner.
    impossible : sequence of sequences of int
        Sets of owners that cannot all be right, whatever else is measured.
    start : Adjusted, optional
        An adjustment of the network, to start from.

    Returns
    -------
    suspects : list of lists
        One list for each wrong dimension, the most probable first; empty where
        all agree, or where leaving out a few does not make them agree.
    network, adjusted
        What remains when the most probable ones are left out.
    """
    found: list[list[Suspect]] = []
    rest = network
    fit = None if impossible else start
    for owners in impossible:
        if not {ranked[0].owner for ranked in found} & set(owners):
            ranked, rest, fit = _left_out(rest, None, owners, dimensions)
            found.append(ranked)
    certain = len(found)
    fit = rest.adjust(start) if fit is None else fit
    sure = (rest, fit)
    while not agree(rest.measured, fit):
        if len(found) == certain + _WRONG:
            return found[:certain], *sure
        ranked, less, after = _left_out(rest, fit, _doubted(rest, fit), dimensions)
        if abs(ranked[0].miss) < LIMIT and agree(less.measured, after):
            # All can agree after all: the fit had been caught in a wrong place.
            fit = rest.adjust(after, near=False)
            if agree(rest.measured, fit):
                continue
        found.append(ranked)
        rest, fit = less, after
    return _fewest(network, found, certain, rest, fit)


def _doubted(network: Network, adjusted: Adjusted) -> list[int]:
    """Those with the largest residuals, normalised or in the robust fit."""
    large = normalised(network.measured, adjusted)
    robust: dict[int, float] = {}
    for owner, v in zip(network.measured.owners.tolist(), adjusted.robust_residuals, strict=True):
        if owner in large:
            robust[owner] = max(robust.get(owner, 0.0), abs(float(v)))
    first = sorted(large, key=lambda owner: -large[owner])[:_TRIED]
    return list(dict.fromkeys(first + sorted(robust, key=lambda owner: -robust[owner])[:_TRIED]))


def _fewest(
    network: Network, found: list[list[Suspect]], certain: int, rest: Network, fit: Adjusted
) -> tuple[list[list[Suspect]], Network, Adjusted]:
    """Take back those that need not be wrong once the later ones are left out."""
    for ranked in found[certain:-1]:
        others = [other for other in found if other is not ranked]
        less = network
        for other in others:
            less = less.without(other[0].owner)
        after = less.adjust(fit)
        if agree(less.measured, after):
            found, rest, fit = others, less, after
    return found, rest, fit


def _left_out(
    network: Network,
    start: Adjusted | None,
    owners: Sequence[int],
    dimensions: Mapping[int, Measured],
) -> tuple[list[Suspect], Network, Adjusted]:
    """Leave out each in turn, rank them, and give what remains without the most probable."""
    for begin in (start, None) if start is not None else (None,):
        trials = []
        for owner in owners:
            less = network.without(owner)
            after = less.adjust(begin)
            trials.append((_judge(dimensions[owner], network, less, after), less, after))
        trials.sort(key=lambda trial: trial[0].score)
        if agree(trials[0][1].measured, trials[0][2]):
            break  # else the start may have been led astray by a gross error: begin afresh
    return [trial[0] for trial in trials], trials[0][1], trials[0][2]


def _judge(measured: Measured, network: Network, less: Network, after: Adjusted) -> Suspect:
    equations = [e for e in network.measured.equations if e.owner == measured.owner]
    worst = max(equations, key=lambda e: abs(_miss(e, after)[0]))
    miss, value, sigma = _miss(worst, after)
    text, reason, likely = _best_reading(measured, less, after)
    cost = float(np.sum(np.sqrt(1 + after.residuals**2) - 1)) + after.away_from_drawing
    return Suspect(measured.owner, value, sigma, miss, text, reason, cost - math.log(likely))


def _miss(equation: Equation, adjusted: Adjusted) -> tuple[float, float, float]:
    """Difference from what the rest says, in its standard deviations; what it says; those."""
    joints = list(equation.joints)
    values, gradients = QUANTITIES[equation.quantity](adjusted.points[joints][None])
    columns = np.array([(2 * j, 2 * j + 1) for j in joints]).ravel()
    gradient = gradients[0].ravel()
    variance = gradient @ adjusted.covariance[np.ix_(columns, columns)] @ gradient
    sigma = math.sqrt(max(float(variance), 0.0) + equation.sigma**2)
    away = equation.target - float(values[0])
    if equation.quantity in ("direction", "turn"):
        away = math.remainder(away, 2 * math.pi)
    return away / sigma, float(values[0]), sigma


def _best_reading(
    measured: Measured, network: Network, after: Adjusted
) -> tuple[str | None, Reason, float]:
    dimension = measured.dimension
    if dimension.value is None:
        return None, "other value", _UNEXPLAINED
    index = {name: position for position, name in enumerate(network.names)}
    best: tuple[str | None, Reason, float] = (None, "other value", _UNEXPLAINED)
    for reading in readings(written(dimension), dimension.kind, network.unit):
        likely = _likely(reading, measured, index, network, after)
        if likely > best[2]:
            best = (reading.text, reading.reason, likely)
    return best


def _likely(
    reading: Reading, measured: Measured, index: dict[str, int], network: Network, after: Adjusted
) -> float:
    changed = measured.dimension.model_copy(update={"value": reading.text})
    try:
        other = read(changed, measured.owner, index, network.unit)
    except InputError:
        return 0.0
    equations = equations_of(other, after.points, network.size)
    miss = max(abs(_miss(equation, after)[0]) for equation in equations)
    return reading.likely * math.exp(-(miss**2) / 2)
