"""The equations of equilibrium of a truss, two a joint, as a sparse matrix.

With member forces and reactions in one vector x and the loads in a vector p,
every joint balances when ``A x + p = 0``.  Rows of A are 2 * joint for the sum
along x and 2 * joint + 1 for the sum along y; columns are the members in their
order, then the reaction components in the order of `reactions`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from model.truss import Truss

if TYPE_CHECKING:
    from scipy.sparse import csc_array

__all__ = ["Reactions", "equilibrium_matrix", "load_vector", "reactions", "triplets"]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]


class Reactions(NamedTuple):
    """The reaction components, one a column: a pin gives x then y, a roller its direction.

    Attributes
    ----------
    joints : ndarray of int, shape (r,)
        The joint on which each component acts.
    directions : ndarray, shape (r, 2)
        Unit vector along which it pushes on the truss when positive.
    """

    joints: IntArray
    directions: FloatArray


def reactions(truss: Truss) -> Reactions:
    """List the reaction components of the supports, in the order of ``truss.supports``."""
    joints: list[int] = []
    directions: list[FloatArray] = []
    for support in truss.supports:
        held = support.directions
        joints += [truss.index[support.joint]] * len(held)
        directions.append(held)
    stacked = np.concatenate(directions) if directions else np.empty((0, 2))
    return Reactions(np.array(joints, dtype=np.intp), stacked)


def triplets(truss: Truss) -> tuple[FloatArray, IntArray, IntArray]:
    """Give the arrays of the compressed columns of the equilibrium matrix.

    Returns
    -------
    data : ndarray, shape (4 m + 2 r,)
        The direction cosines.  A member in tension pulls each of its joints
        towards the other; a positive reaction pushes along its direction.
    rows : ndarray of int, shape (4 m + 2 r,)
    starts : ndarray of int, shape (m + r + 1,)
    """
    count = len(truss.members)
    held = reactions(truss)
    units = truss.vectors / truss.lengths[:, None]
    data = np.concatenate([np.hstack([units, -units]).ravel(), held.directions.ravel()])
    ends = 2 * truss.members
    member_rows = np.column_stack([ends[:, 0], ends[:, 0] + 1, ends[:, 1], ends[:, 1] + 1])
    reaction_rows = np.column_stack([2 * held.joints, 2 * held.joints + 1])
    rows = np.concatenate([member_rows.ravel(), reaction_rows.ravel()])
    starts = np.concatenate(
        [np.arange(0, 4 * count, 4), 4 * count + np.arange(0, 2 * len(held.joints) + 1, 2)]
    )
    return data, rows, starts


def equilibrium_matrix(truss: Truss) -> csc_array:
    """Build the equilibrium matrix A of ``A x + p = 0``.

    Parameters
    ----------
    truss : Truss
        No member may be without length.

    Returns
    -------
    csc_array, shape (2 n, m + r)
        Columns: members (tension positive), then reaction components (see
        `reactions`).  Its transpose takes joint displacements to shortenings
        of the members and to movements along the supports' directions.

    References
    ----------
    S. Pellegrino, C. R. Calladine, "Matrix analysis of statically and
    kinematically indeterminate frameworks", Int. J. Solids Structures 22
    (1986) 409-428.
    """
    # Imported here so that small trusses, solved with dense arrays, do not wait for it.
    from scipy.sparse import csc_array

    data, rows, starts = triplets(truss)
    return csc_array((data, rows, starts), shape=(2 * len(truss.joints), len(starts) - 1))


def load_vector(truss: Truss, factors: dict[str | None, float] | None = None) -> FloatArray:
    """Give the loads p as one vector, shape (2 n,), in the order of the matrix's rows."""
    return truss.load_vector(factors).ravel()
