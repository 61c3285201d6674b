"""Forces and displacements of elastic trusses, with more supports or members than needed or not.

Equilibrium and fit are solved together, for the member forces N, reactions R
and displacements d of the joints::

    A [N, R] + p = 0          every joint balances under the loads p
    F N + A_m' d = -e         every member is as long as its joints are apart
          A_r' d = s          every support moves as it is said to

with A = [A_m, A_r] the equilibrium matrix, F the members' flexibilities
L / (E A), e their elongations before any force (temperature, length error) and
s the settlements.  Rollers at any angle are exact, the stiffness matrix
A_m F^-1 A_m' is never formed, so neither very stiff members nor forms close to
critical lose digits to it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from model.errors import InputError
from model.truss import Truss
from solver.equilibrium import equilibrium_matrix, reactions

__all__ = [
    "LENGTH_ERROR",
    "SETTLEMENT",
    "TEMPERATURE",
    "AxialStiffness",
    "ElasticTruss",
    "Imposed",
    "Response",
    "axial_stiffness",
    "displacements",
    "imposed",
    "respond",
]

FloatArray = NDArray[np.float64]
Factors = dict[str | None, float]

#: Names of the cases that are not loads, for factors of cases.
SETTLEMENT = "settlement"
TEMPERATURE = "temperature"
LENGTH_ERROR = "length error"


class AxialStiffness(NamedTuple):
    """E times A of each member, shape (m,), and whether it is known or only its ratios are."""

    values: FloatArray
    absolute: bool


class Imposed(NamedTuple):
    """What a truss is made to take besides loads.

    Attributes
    ----------
    elongations : ndarray, shape (m,)
        By how much each member is longer than drawn before any force.
    settlements : ndarray, shape (r,)
        Prescribed movement of each reaction component's joint along its direction.
    """

    elongations: FloatArray
    settlements: FloatArray

    def __bool__(self) -> bool:
        """Whether anything is imposed."""
        return bool(self.elongations.any() or self.settlements.any())


@dataclass(frozen=True, eq=False)
class Response:
    """What an elastic truss answers; a last axis of k counts right-hand sides solved at once.

    Attributes
    ----------
    forces : ndarray, shape (m,) or (m, k)
        Tension positive.
    reactions : ndarray, shape (r,) or (r, k)
        In the order of `solver.equilibrium.reactions`.
    displacements : ndarray, shape (n, 2) or (n, 2, k), or None
        None where only the ratios of the members' stiffnesses are known.
    """

    forces: FloatArray
    reactions: FloatArray
    displacements: FloatArray | None


def axial_stiffness(truss: Truss) -> AxialStiffness:
    """Find E times A of every member.

    A member without area or modulus takes that of the others, if they agree.
    Where no member has one, all have the same if the truss is ``alike``; then
    only ratios are known.  The forces of a determinate truss do not depend on
    any of this: where something is missing, it takes ratios of one.

    Raises
    ------
    InputError
        If the members' forces depend on stiffnesses that nobody gave.
    """
    try:
        moduli, areas = _of_all(truss, "modulus", "E"), _of_all(truss, "area", "A")
    except InputError:
        if not _counts_balance(truss):
            raise
        return AxialStiffness(np.ones(len(truss.members)), False)
    if (moduli is None or areas is None) and not (truss.alike or _counts_balance(truss)):
        raise InputError(_needs_both(truss))
    ones = np.ones(len(truss.members))
    values = (ones if moduli is None else moduli) * (ones if areas is None else areas)
    return AxialStiffness(values, moduli is not None and areas is not None)


def imposed(truss: Truss, factors: Factors | None = None) -> Imposed:
    """Gather temperature changes, length errors and settlements.

    Parameters
    ----------
    truss : Truss
    factors : dict, optional
        Factors of the cases ``temperature``, ``length error`` and
        ``settlement``; those not named count zero.  Without it each counts once.

    Raises
    ------
    InputError
        If a member has a temperature change and no member has an expansion,
        or the others' differ.
    """

    def factor(case: str) -> float:
        return 1.0 if factors is None else factors.get(case, 0.0)

    elongations = np.zeros(len(truss.members))
    if truss.properties:
        elongations += factor(LENGTH_ERROR) * _said(truss, "length_error", 0.0)
        warmer = _said(truss, "temperature_change", 0.0)
        if warmer.any():
            expansions = _of_all(truss, "expansion", "coefficient of expansion")
            if expansions is None:
                warm = truss.member_name(int(warmer.nonzero()[0][0]))
                raise InputError(
                    f"Member {warm} has a temperature change but no coefficient of expansion;"
                    " give its expansion per degree."
                )
            elongations += factor(TEMPERATURE) * expansions * warmer * truss.lengths
    along = [support.directions @ support.settlement for support in truss.supports]
    settlements = factor(SETTLEMENT) * np.concatenate([*along, np.empty(0)])
    return Imposed(elongations, settlements)


class ElasticTruss:
    """A truss whose equations are factorised once, to be solved for many loads.

    Parameters
    ----------
    truss : Truss
        Stable (see `solver.rank`); determinate or redundant.

    Raises
    ------
    InputError
        If forces depend on stiffnesses that nobody gave (see `axial_stiffness`).

    Notes
    -----
    The equations are scaled to the softest member, factorised by sparse LU
    with partial pivoting, and each solution is refined once.

    References
    ----------
    G. Strang, "A framework for equilibrium equations", SIAM Review 30 (1988)
    283-297.
    """

    def __init__(self, truss: Truss) -> None:
        """Factorise the equations of `truss`."""
        # Imported here so that determinate trusses do not wait for it.
        from scipy.sparse import block_array, diags_array
        from scipy.sparse.linalg import splu

        self.truss = truss
        self.stiffness = axial_stiffness(truss)
        flexibilities = truss.lengths / self.stiffness.values
        #: Unit of the displacements, elongations and settlements in `solve`.
        self.softest = float(flexibilities.max(initial=0.0)) or 1.0
        held = len(reactions(truss).joints)
        matrix = equilibrium_matrix(truss)
        diagonal = np.concatenate([flexibilities / self.softest, np.zeros(held)])
        self._matrix = block_array([[diags_array(diagonal), matrix.T], [matrix, None]]).tocsc()
        try:
            self._factors = splu(self._matrix)
        except RuntimeError as error:
            # In a stable truss only rigid supports of the same joint leave anything open.
            raise InputError(
                "A joint has two supports that hold it along one direction; keep one of them."
            ) from error

    def respond(self, loads: FloatArray, made_to: Imposed | None = None) -> Response:
        """Solve for one set of loads, or for k at once.

        Parameters
        ----------
        loads : ndarray, shape (n, 2) or (n, 2, k)
        made_to : Imposed, optional
            Of shapes (m,) and (r,), or (m, k) and (r, k).

        Raises
        ------
        InputError
            If something is imposed on a redundant truss of which only the
            ratios of stiffnesses are known.
        """
        members, joints = len(self.truss.members), len(self.truss.joints)
        several = loads.shape[2:]
        known = self.stiffness.absolute
        right = np.zeros((self._matrix.shape[0], *several))
        supported = slice(members, len(right) - 2 * joints)
        right[supported.stop :] = -loads.reshape(2 * joints, *several)
        if made_to:
            if not known and not _counts_balance(self.truss):
                raise InputError(
                    "Temperature, length errors or settlements strain this redundant truss, so it"
                    " needs E and A of its members; give them."
                )
            right[:members] = -made_to.elongations / self.softest
            right[supported] = made_to.settlements / self.softest
        found = self.solve(right)
        moved = found[supported.stop :].reshape(joints, 2, *several)
        return Response(found[:members], found[supported], moved * self.softest if known else None)

    def solve(self, right: FloatArray) -> FloatArray:
        """Solve the scaled, symmetric equations for N, R and d over ``softest``.

        Parameters
        ----------
        right : ndarray, shape (m + r + 2 n,) or (m + r + 2 n, k)
            Minus the elongations and the settlements, both over ``softest``,
            then minus the loads.
        """
        found = self._factors.solve(right)
        found += self._factors.solve(right - self._matrix @ found)
        return np.asarray(found)


def respond(truss: Truss, loads: FloatArray, factors: Factors | None = None) -> Response:
    """Find forces, reactions and displacements of a stable truss.

    Parameters
    ----------
    truss : Truss
        Its temperature changes, length errors and settlements count as well.
    loads : ndarray, shape (n, 2)
    factors : dict, optional
        See `imposed`.

    Raises
    ------
    InputError
        See `axial_stiffness` and `imposed`.
    """
    return ElasticTruss(truss).respond(loads, imposed(truss, factors))


def displacements(
    truss: Truss, forces: FloatArray, factors: Factors | None = None
) -> FloatArray | None:
    """Find how the joints of a determinate truss move under its member forces.

    Parameters
    ----------
    truss : Truss
    forces : ndarray, shape (m,)
    factors : dict, optional
        See `imposed`.

    Returns
    -------
    ndarray, shape (n, 2), or None
        None where E and A are not known.

    Raises
    ------
    InputError
        See `imposed`.
    """
    if not truss.properties:
        return None
    stiffness = axial_stiffness(truss)
    if not stiffness.absolute:
        return None
    from scipy.sparse.linalg import splu

    elongations, settlements = imposed(truss, factors)
    elongations = elongations + forces * truss.lengths / stiffness.values
    # The matrix's transpose takes displacements to shortenings and movements of supports.
    right = np.concatenate([-elongations, settlements])
    moved = splu(equilibrium_matrix(truss)).solve(right, "T")
    return np.asarray(moved.reshape(-1, 2))


def _counts_balance(truss: Truss) -> bool:
    """Whether a stable truss is determinate."""
    held = sum(len(support.directions) for support in truss.supports)
    return len(truss.members) + held == 2 * len(truss.joints)


def _needs_both(truss: Truss) -> str:
    held = sum(len(support.directions) for support in truss.supports)
    spare = len(truss.members) + held - 2 * len(truss.joints)
    more = "1 member or reaction" if spare == 1 else f"{spare} members or reactions"
    return (
        f"The truss has {more} more than equilibrium alone can solve: it needs E and A of its"
        " members, or your word that all are alike."
    )


def _said(truss: Truss, name: str, otherwise: float) -> FloatArray:
    """One property of every member, shape (m,)."""
    values = [getattr(properties, name) for properties in truss.properties]
    return np.array([otherwise if value is None else value for value in values], dtype=float)


def _of_all(truss: Truss, name: str, called: str) -> FloatArray | None:
    """One property of every member, the missing ones like the others; None where none has it."""
    values = _said(truss, name, np.nan)
    missing = np.isnan(values)
    if missing.all():
        return None
    if missing.any():
        given = np.unique(values[~missing])
        if len(given) > 1:
            raise InputError(
                f"Member {truss.member_name(int(missing.nonzero()[0][0]))} has no {called}, and"
                f" those of the others differ; give its {called}."
            )
        values[missing] = given[0]
    return values
