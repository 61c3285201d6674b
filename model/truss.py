"""The truss itself: joints, members, supports and loads in the job's units.

World axes: x right, y up. Forces positive along the axes; member forces
positive in tension.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    import networkx as nx

__all__ = ["SELF_WEIGHT", "Load", "MemberProperties", "Support", "Truss"]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]

#: Name of the load case that is the members' own weight.
SELF_WEIGHT = "self-weight"


@dataclass(frozen=True)
class Support:
    """A pin or a roller.

    Attributes
    ----------
    joint : str
        Name of the supported joint.
    kind : {'pin', 'roller'}
        A pin holds the joint both ways, a roller along one direction.
    angle_deg : float
        Direction in which the support pushes on the truss (90 = straight up).
    settlement : tuple of float
        Prescribed movement of the support, x and y, in the length unit.
    """

    joint: str
    kind: Literal["pin", "roller"]
    angle_deg: float = 90.0
    settlement: tuple[float, float] = (0.0, 0.0)

    @property
    def directions(self) -> FloatArray:
        """Unit vectors held by the support, shape (2, 2) for a pin, (1, 2) for a roller."""
        if self.kind == "pin":
            return np.eye(2)
        quarter, rest = divmod(self.angle_deg, 90.0)
        if rest == 0.0:  # exact zeros for the usual supports
            return np.array([[(1, 0), (0, 1), (-1, 0), (0, -1)][int(quarter) % 4]], dtype=float)
        angle = math.radians(self.angle_deg)
        return np.array([[math.cos(angle), math.sin(angle)]])


@dataclass(frozen=True)
class Load:
    """A force on a joint, with the load case it belongs to and its tolerance (a force)."""

    joint: str
    fx: float
    fy: float
    case: str | None = None
    tolerance: float | None = None


@dataclass(frozen=True)
class MemberProperties:
    """What a member is made of, in the job's units; None where nothing was said."""

    area: float | None = None
    modulus: float | None = None
    inertia: float | None = None
    temperature_change: float | None = None
    expansion: float | None = None
    length_error: float | None = None
    weight_per_length: float | None = None


@dataclass(frozen=True, eq=False)
class Truss:
    """A plane pin-jointed truss.

    Attributes
    ----------
    joints : tuple of str
        Names of the n joints.
    points : ndarray, shape (n, 2)
        Their coordinates.
    members : ndarray of int, shape (m, 2)
        Indices of the joints at each member's two ends.
    supports : tuple of Support
    loads : tuple of Load
    properties : tuple of MemberProperties, length m or 0
        Empty when nothing was said of any member.
    alike : bool
        Members without properties may be taken as all alike.
    """

    joints: tuple[str, ...]
    points: FloatArray
    members: IntArray
    supports: tuple[Support, ...] = ()
    loads: tuple[Load, ...] = ()
    properties: tuple[MemberProperties, ...] = ()
    alike: bool = False

    @cached_property
    def index(self) -> dict[str, int]:
        """Position of each joint's name in `joints`."""
        return {name: position for position, name in enumerate(self.joints)}

    @cached_property
    def vectors(self) -> FloatArray:
        """Vectors from each member's first to its second end, shape (m, 2)."""
        return np.asarray(self.points[self.members[:, 1]] - self.points[self.members[:, 0]])

    @cached_property
    def lengths(self) -> FloatArray:
        """Lengths of the members, shape (m,)."""
        return np.hypot(self.vectors[:, 0], self.vectors[:, 1])

    @cached_property
    def graph(self) -> nx.Graph:
        """The truss as a networkx graph.

        Nodes are joint names with ``point`` (x, y), ``support`` (`Support` or
        None) and ``loads`` (tuple of `Load`); edges carry ``member`` (position
        in `members`), ``length`` and ``properties``.
        """
        # Imported here so that solving alone does not pay for it.
        import networkx as nx

        graph: nx.Graph = nx.Graph()
        supports = {support.joint: support for support in self.supports}
        loads: dict[str, list[Load]] = {}
        for load in self.loads:
            loads.setdefault(load.joint, []).append(load)
        for name, (x, y) in zip(self.joints, self.points.tolist(), strict=True):
            graph.add_node(
                name, point=(x, y), support=supports.get(name), loads=tuple(loads.get(name, ()))
            )
        properties = self.properties or (MemberProperties(),) * len(self.members)
        for position, (a, b) in enumerate(self.members.tolist()):
            graph.add_edge(
                self.joints[a],
                self.joints[b],
                member=position,
                length=float(self.lengths[position]),
                properties=properties[position],
            )
        return graph

    @cached_property
    def own_weight(self) -> FloatArray:
        """The members' own weight on the joints, half at each end, shape (n, 2)."""
        total = np.zeros_like(self.points)
        if not self.properties:
            return total
        weights = self.lengths * [p.weight_per_length or 0.0 for p in self.properties]
        np.add.at(total[:, 1], self.members, -weights[:, None] / 2)
        return total

    def member_name(self, position: int) -> str:
        """Name of a member: 'AC' where both names are one letter, else 'A1-C2'."""
        a, b = (self.joints[end] for end in self.members[position])
        return f"{a}{b}" if len(a) == len(b) == 1 else f"{a}-{b}"

    def load_vector(self, factors: dict[str | None, float] | None = None) -> FloatArray:
        """Sum of the loads on each joint with the members' own weight, shape (n, 2).

        Parameters
        ----------
        factors : dict, optional
            Factor of each load case by name, ``self-weight`` among them; cases
            not named count zero.  Without it everything counts once.
        """
        total = np.zeros_like(self.points)
        weight = 1.0 if factors is None else factors.get(SELF_WEIGHT, 0.0)
        if weight and self.properties:
            total += weight * self.own_weight
        if not self.loads:
            return total
        at = [self.index[load.joint] for load in self.loads]
        values = np.array([(load.fx, load.fy) for load in self.loads])
        if factors is not None:
            values *= np.array([[factors.get(load.case, 0.0)] for load in self.loads])
        np.add.at(total, at, values)
        return total
