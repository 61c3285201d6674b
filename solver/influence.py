"""Influence lines: what a load does to every member while it travels along a chain of joints.

Between joints a load is passed to the two nearest as by simply supported deck
beams, so every line is straight from joint to joint; off the chain it does
nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from model.errors import InputError
from model.truss import Support, Truss
from solver.solve import elastic

__all__ = ["InfluenceLines", "WorstPositions", "influence_lines"]

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

#: How close before and behind a joint a train is tried, as a part of the chain's length.
_CLOSE = 1e-9
#: Lines followed together, to keep the tables small.
_TOGETHER = 512


@dataclass(frozen=True, eq=False)
class WorstPositions:
    """The extremes that a train causes while it travels along the chain, either way.

    Arrays have one entry a member, then one a reaction component.  A train
    that is not on the chain causes nothing, so ``lowest <= 0 <= highest``.

    Attributes
    ----------
    lowest, highest : ndarray, shape (m + r,)
    lowest_at, highest_at : ndarray, shape (m + r,)
        Where the first load of the train then is, as a distance along the chain.
    lowest_turned, highest_turned : ndarray of bool, shape (m + r,)
        Whether the train then runs from the chain's last joint to its first, so
        that its other loads are ahead of the first along the chain.
    """

    lowest: FloatArray
    highest: FloatArray
    lowest_at: FloatArray
    highest_at: FloatArray
    lowest_turned: BoolArray
    highest_turned: BoolArray


@dataclass(frozen=True, eq=False)
class InfluenceLines:
    """The ordinates under a unit load at each of the k joints of a chain.

    Attributes
    ----------
    truss : Truss
    joints : tuple of str, length k
    positions : ndarray, shape (k,)
        Distance of each joint along the chain, from its first.
    forces : ndarray, shape (m, k)
    reactions : ndarray, shape (r, k)
        In the order of `solver.equilibrium.reactions`.
    """

    truss: Truss
    joints: tuple[str, ...]
    positions: FloatArray
    forces: FloatArray
    reactions: FloatArray

    def worst(self, values: Sequence[float], spacings: Sequence[float]) -> WorstPositions:
        """Find where a train of point loads does most to each member and reaction.

        Parameters
        ----------
        values : sequence of float, length q
            Loads, the foremost first, along the direction of the unit load.
        spacings : sequence of float, length q - 1
            Distances from each load to the next behind it.

        Raises
        ------
        InputError
            If the counts do not fit or a spacing is negative.

        Notes
        -----
        The sum of straight lines bends only where a load stands on a joint, so
        the extremes are among the positions with some load on some joint, or
        just about to enter or leave the chain.
        """
        loads, behind = _train(values, spacings)
        reach = float(self.positions[-1])
        ways = []
        for turned, offsets in ((False, -behind), (True, behind)):
            on_joint = np.unique((self.positions[:, None] - offsets).ravel())
            close = _CLOSE * reach * np.array([-1.0, 0.0, 1.0])
            first = (on_joint[:, None] + close).ravel()
            ways.append((first, self._shares(first, loads, offsets), np.full(len(first), turned)))
        first, shares, turned_there = (np.concatenate(parts) for parts in zip(*ways, strict=True))
        lines = np.vstack([self.forces, self.reactions])
        low, high = np.empty(len(lines), np.intp), np.empty(len(lines), np.intp)
        lowest, highest = np.empty(len(lines)), np.empty(len(lines))
        for start in range(0, len(lines), _TOGETHER):
            rows = slice(start, start + _TOGETHER)
            caused = lines[rows] @ shares.T
            low[rows], high[rows] = caused.argmin(axis=1), caused.argmax(axis=1)
            lowest[rows], highest[rows] = caused.min(axis=1), caused.max(axis=1)
        return WorstPositions(
            lowest, highest, first[low], first[high], turned_there[low], turned_there[high]
        )

    def _shares(self, first: FloatArray, loads: FloatArray, offsets: FloatArray) -> FloatArray:
        """What each joint of the chain carries of the train at each position of its first load."""
        shares = np.zeros((len(first), len(self.positions)))
        rows = np.arange(len(first))
        for load, offset in zip(loads.tolist(), offsets.tolist(), strict=True):
            at = first + offset
            # A hair's breadth of rounding must not push a load off the last joint.
            slack = 1e-3 * _CLOSE * self.positions[-1]
            on = (at >= -slack) & (at <= self.positions[-1] + slack)
            bay = np.clip(np.searchsorted(self.positions, at) - 1, 0, len(self.positions) - 2)
            part = (at - self.positions[bay]) / np.diff(self.positions)[bay]
            shares[rows[on], bay[on]] += load * (1.0 - part[on])
            shares[rows[on], bay[on] + 1] += load * part[on]
        return shares


def influence_lines(
    truss: Truss, joints: Sequence[str], direction_deg: float = 270.0
) -> InfluenceLines:
    """Find the influence lines of all members and reactions, with one factorisation.

    Parameters
    ----------
    truss : Truss
        Its own loads, temperatures and settlements play no part.
    joints : sequence of str
        The chain along which the load travels, in order; at least two.
    direction_deg : float
        Direction in which the unit load acts (270 = down).

    Raises
    ------
    InputError
        If the truss cannot be solved, or the chain is not of two or more
        different joints of the truss.
    """
    if len(joints) < 2:
        raise InputError("A load needs two or more joints to travel along; name them in order.")
    for position, joint in enumerate(joints):
        if joint not in truss.index:
            raise InputError(f"Joint '{joint}' of the load's path is not in the truss; correct it.")
        if joint in joints[:position]:
            raise InputError(f"Joint {joint} is twice in the load's path; name each joint once.")
    chain = [truss.index[joint] for joint in joints]
    (direction,) = Support("", "roller", direction_deg).directions
    loads = np.zeros((len(truss.joints), 2, len(chain)))
    loads[chain, :, np.arange(len(chain))] = direction
    response = elastic(truss).respond(loads)
    steps = np.hypot(*np.diff(truss.points[chain], axis=0).T)
    positions = np.concatenate([[0.0], np.cumsum(steps)])
    return InfluenceLines(truss, tuple(joints), positions, response.forces, response.reactions)


def _train(values: Sequence[float], spacings: Sequence[float]) -> tuple[FloatArray, FloatArray]:
    """Loads, and how far each is behind the first."""
    if not values:
        raise InputError("A train needs one load or more; give their values.")
    if len(spacings) != len(values) - 1:
        raise InputError(
            f"A train of {len(values)} loads needs {len(values) - 1} spacings, not"
            f" {len(spacings)}; give the distance from each load to the next."
        )
    loads, gaps = np.array(values, dtype=float), np.array(spacings, dtype=float)
    if not (np.isfinite(loads).all() and np.isfinite(gaps).all() and (gaps >= 0).all()):
        raise InputError("The train's loads and spacings must be numbers, no spacing below zero.")
    return loads, np.concatenate([[0.0], np.cumsum(gaps)])
