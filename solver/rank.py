"""Rank of the equilibrium matrix: how many ways a truss can move, and how many redundants.

The mechanisms are the null space of the matrix's transpose.  It is found from
the matrix itself, never from its square (as a stiffness matrix would be):
squaring loses half of the digits, and with them the difference between a
critical form and one that is only close to critical.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from scipy.sparse import csc_array

__all__ = ["SINGULAR", "Rank", "rank_of"]

FloatArray = NDArray[np.float64]

#: A singular value below this part of the largest counts as zero.  The direction
#: cosines carry rounding errors of 1e-16; forms distinguishable in the dimensions
#: of a drawing lie above 1e-8; slender girders of 50,000 panels reach 1e-9.
SINGULAR = 1e-11
#: Up to this many equations the dense singular value decomposition is used.
_DENSE = 150
#: Mechanisms worked out at most; above, they are only counted.
_MOST_MECHANISMS = 64
#: A pivot of the augmented matrix below this may stand for a mechanism.
_TINY_PIVOT = 1e-10


class Rank(NamedTuple):
    """What the rank says.

    Attributes
    ----------
    mechanisms : ndarray, shape (k, n, 2)
        Independent displacements without any change of length, each scaled so
        that the joint that moves most moves by one; at most 64 of a truss above 300 joints.
    freedoms : int
        How many independent mechanisms there are.
    redundants : int
        Independent states of self-stress.
    smallest : float
        Smallest singular value that counts as not zero, as a part of the largest.
    """

    mechanisms: FloatArray
    freedoms: int
    redundants: int
    smallest: float


def rank_of(matrix: csc_array) -> Rank:
    """Find the mechanisms and the number of redundants of an equilibrium matrix.

    Parameters
    ----------
    matrix : csc_array, shape (2 n, m + r)

    Notes
    -----
    Up to 600 equations by dense singular value decomposition; above by block
    inverse iteration on the sparse factors of the augmented matrix
    ``[[a I, A'], [A, 0]]`` whose smallest eigenvalues are those of ``A`` squared
    over ``a``, without ever forming the square (Å. Björck, *Numerical Methods
    for Least Squares Problems*, SIAM 1996, section 2.5).
    """
    equations, unknowns = matrix.shape
    if equations <= _DENSE and unknowns <= 2 * _DENSE:
        null, smallest = _dense(matrix.toarray())
        freedoms = len(null)
    else:
        null, smallest, freedoms = _sparse(matrix)
    mechanisms = _separated(null).reshape(-1, equations // 2, 2)
    return Rank(mechanisms, freedoms, unknowns - equations + freedoms, smallest)


def _dense(matrix: FloatArray) -> tuple[FloatArray, float]:
    """Null space of the transpose as rows, and the smallest singular value that is not zero."""
    if matrix.size == 0:
        return np.eye(len(matrix)), 1.0
    left, values, _ = np.linalg.svd(matrix, full_matrices=True)
    held = values > SINGULAR * values[0]
    rank = int(held.sum())
    smallest = float(values[rank - 1] / values[0]) if rank else 1.0
    return left[:, rank:].T, smallest


def _sparse(matrix: csc_array) -> tuple[FloatArray, float, int]:
    """Null space of the transpose as rows, smallest singular value left, size of the null space."""
    from scipy.sparse import block_array, eye_array
    from scipy.sparse.linalg import splu

    equations, unknowns = matrix.shape
    # Any shift would do; this one keeps singular values down to SINGULAR apart from zero
    # while the factors stay far from overflow.
    alpha, shift = 1e-5, 1e-17
    augmented = block_array(
        [
            [alpha * eye_array(unknowns), matrix.T],
            [matrix, -shift * eye_array(equations)],
        ],
        format="csc",
    )
    factors = splu(augmented)
    # The pivots guess how many mechanisms there are; the vectors decide.
    guess = int((np.abs(factors.U.diagonal()) < _TINY_PIVOT).sum())
    size = min(guess + 2, _MOST_MECHANISMS, equations)
    while True:
        vectors = _inverse_iteration(factors, unknowns, equations, size)
        # Singular vectors within the block, the smallest value first.
        _, lengths, turn = np.linalg.svd(matrix.T @ vectors, full_matrices=False)
        vectors, lengths = vectors @ turn[::-1].T, lengths[::-1]
        still = lengths <= SINGULAR
        if not still.all() or size >= min(_MOST_MECHANISMS, equations):
            break
        size = min(2 * size, _MOST_MECHANISMS, equations)
    count = int(still.sum())
    smallest = float(lengths[count]) / 2 if count < size else 1.0
    return vectors[:, still].T, smallest, max(count, guess) if count == size else count


def _inverse_iteration(
    factors: object, unknowns: int, equations: int, size: int, rounds: int = 3
) -> FloatArray:
    """Orthonormal vectors that the transpose shortens most, as columns."""
    vectors = np.random.default_rng(0).standard_normal((equations, size))
    for _ in range(rounds):
        vectors, _ = np.linalg.qr(vectors)
        right = np.vstack([np.zeros((unknowns, size)), vectors])
        vectors = factors.solve(right)[unknowns:]  # type: ignore[attr-defined]
        vectors /= np.abs(vectors).max(axis=0)
    vectors, _ = np.linalg.qr(vectors)
    return np.asarray(vectors)


def _separated(null: FloatArray) -> FloatArray:
    """Rewrite a null space so that each vector moves as few joints as can be.

    Gauss-Jordan elimination with full pivoting; then each vector is scaled to
    a largest joint movement of one.
    """
    basis = null.copy()
    for row in range(len(basis)):
        rest = np.abs(basis[row:])
        at, column = divmod(int(rest.argmax()), rest.shape[1])
        basis[[row, row + at]] = basis[[row + at, row]]
        basis[row] /= basis[row, column]
        others = np.arange(len(basis)) != row
        basis[others] -= np.outer(basis[others, column], basis[row])
    basis[np.abs(basis) < 1e-9] = 0.0
    moves = np.hypot(basis[:, 0::2], basis[:, 1::2])
    return np.asarray(basis / moves.max(axis=1, initial=0.0, keepdims=True)) + 0.0
