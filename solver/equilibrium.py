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

__all__ = ["Columns", "Reactions", "columns", "equilibrium_matrix", "load_vector", "reactions"]

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


class Columns(NamedTuple):
    """The equilibrium matrix by compressed columns.

    Attributes
    ----------
    data : ndarray, shape (4 m + 2 r,)
        The direction cosines.  A member in tension pulls each of its joints
        towards the other; a positive reaction pushes along its direction.
    rows : ndarray of int32, shape (4 m + 2 r,)
    starts : ndarray of int32, shape (m + r + 1,)
    """

    data: FloatArray
    rows: NDArray[np.int32]
    starts: NDArray[np.int32]

    def dense(self, equations: int) -> FloatArray:
        """Give the matrix with its zeros."""
        matrix = np.zeros((equations, len(self.starts) - 1))
        matrix[self.rows, np.repeat(np.arange(len(self.starts) - 1), np.diff(self.starts))] = (
            self.data
        )
        return matrix

    def sparse(self, equations: int) -> csc_array:
        """Give the matrix as SciPy takes it."""
        # Imported here so that small trusses, solved with dense arrays, do not wait for it.
        from scipy.sparse import csc_array

        return csc_array(tuple(self), shape=(equations, len(self.starts) - 1))


def columns(truss: Truss) -> Columns:
    """Work out the columns of the equilibrium matrix, without the matrix around them."""
    count = len(truss.members)
    held = reactions(truss)
    size = 4 * count
    data = np.empty(size + 2 * len(held.joints))
    rows = np.empty(len(data), dtype=np.int32)
    of_members = data[:size].reshape(count, 2, 2)
    np.divide(truss.vectors, truss.lengths[:, None], out=of_members[:, 0])
    np.negative(of_members[:, 0], out=of_members[:, 1])
    data[size:] = held.directions.ravel()
    np.multiply(truss.members, 2, out=rows[:size].reshape(count, 2, 2)[:, :, 0], casting="unsafe")
    rows[size::2] = 2 * held.joints
    rows[1::2] = rows[::2] + 1
    starts = np.empty(count + len(held.joints) + 1, dtype=np.int32)
    starts[:count] = np.arange(0, size, 4)
    starts[count:] = np.arange(size, len(data) + 1, 2)
    return Columns(data, rows, starts)


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
    return columns(truss).sparse(2 * len(truss.joints))


def load_vector(truss: Truss, factors: dict[str | None, float] | None = None) -> FloatArray:
    """Give the loads p as one vector, shape (2 n,), in the order of the matrix's rows."""
    return truss.load_vector(factors).ravel()
