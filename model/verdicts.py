"""What is said of each dimension once the coordinates are found."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from model.adjustment import Adjusted
from model.constraints import System
from model.contradictions import LIMIT, UNCHECKED, Network, Suspect, normalised
from model.dimensions import Measured, entry_of
from model.findings import Check, Misread, State
from model.freedoms import Freedoms
from model.job import Dimension
from model.wording import told

__all__ = ["checks_of", "misreads_of", "notes_of", "overtight_of", "strain_of"]

FloatArray = NDArray[np.float64]
Wrong = Sequence[Sequence[Suspect]]

#: Strain (standard deviation of unit weight) and residual from which a tolerance is too tight.
_STRAINED, _LARGE = 1.5, 2.0


def checks_of(
    dimensions: Sequence[Dimension],
    measured: Mapping[int, Measured],
    unusable: Mapping[int, str],
    wrong: Wrong,
    network: Network,
    fit: Adjusted,
) -> tuple[Check, ...]:
    """Say of each dimension whether it fits, and what the coordinates make of it.

    Parameters
    ----------
    dimensions : sequence of Dimension
        All of a job's.
    measured : mapping
        Those in force, by their place in the list.
    unusable : mapping
        Sentences about those that cannot be used.
    wrong : sequence of sequences of Suspect
        Those left out of `network` because they contradict it, ranked.
    network, fit
        The adjustment of the others.
    """
    largest = normalised(network.measured, fit)
    soft = _largest(network.assumed.owners, np.abs(fit.assumed_residuals))
    shown = _largest(network.measured.owners, fit.redundancies)
    left_out = {ranked[0].owner: ranked[0] for ranked in wrong}
    checks = []
    for position, dimension in enumerate(dimensions):
        m = measured.get(position)
        if m is None:
            state: State = "problem" if position in unusable else "off"
            sentence = unusable.get(position, "Switched off.")
            checks.append(Check(position, dimension, state, "", 0.0, 0.0, sentence))
            continue
        if position in left_out:
            residual, redundancy = left_out[position].miss, 1.0
        elif m.soft:
            residual, redundancy = soft.get(position, 0.0), 1.0
        else:
            residual, redundancy = largest.get(position, 0.0), shown.get(position, 0.0)
        value = told(m, fit.points * network.size, network.unit)
        off = abs(residual) > LIMIT
        state = "problem" if position in unusable else "contradicts" if off else "fits"
        sentence = unusable.get(position) or _verdict(dimension, value, off, redundancy, m.soft)
        checks.append(
            Check(position, dimension, state, value, float(residual), float(redundancy), sentence)
        )
    return tuple(checks)


def misreads_of(
    measured: Mapping[int, Measured], wrong: Wrong, network: Network
) -> tuple[Misread, ...]:
    """The most probable one of each contradiction, then the next most probable ones."""
    ordered = [ranked[0] for ranked in wrong]
    ordered += [s for ranked in wrong for s in ranked[1:] if s.text is not None]
    named: dict[int, Misread] = {}
    for suspect in ordered:
        m = measured[suspect.owner]
        text = suspect.text or told(m, None, network.unit, suspect.value, network.size)
        entry = entry_of(m.dimension)
        why = "" if suspect.reason == "other value" else f" ({suspect.reason})"
        if m.dimension.value is None:
            sentence = f"Dimension '{entry}' contradicts the others; switch it off."
        else:
            sentence = (
                f"Dimension '{entry}' contradicts the others; {text} would fit{why}:"
                " correct it, or remove it."
            )
        named.setdefault(suspect.owner, Misread(suspect.owner, text, suspect.reason, sentence))
    return tuple(named.values())


def overtight_of(checks: Sequence[Check], strain: float | None, wrong: Wrong) -> tuple[int, ...]:
    """Dimensions whose tolerance is too tight: they disagree, and none of them alone is wrong."""
    if wrong or strain is None or strain <= _STRAINED:
        return ()
    return tuple(
        check.index
        for check in checks
        if check.state in ("fits", "contradicts")
        and abs(check.residual) > _LARGE
        and check.dimension.source != "assumed"
    )


def strain_of(system: System, fit: Adjusted) -> float | None:
    """Standard deviation of unit weight, or None where nothing is redundant."""
    redundancy = float(fit.redundancies[system.owners >= 0].sum())
    if redundancy < 0.5:
        return None
    return float(np.sqrt(np.sum(fit.residuals**2) / redundancy))


def notes_of(
    free: Freedoms, assumptions: list[Measured], strain: float | None, overtight: tuple[int, ...]
) -> tuple[str, ...]:
    """Sentences about the geometry as a whole."""
    notes = []
    if free.shape:
        notes.append(f"{free.shape} freedom{'s' * (free.shape > 1)} of the shape as drawn.")
    elif free.scale:
        notes.append("The shape is settled, its scale is not: forces are right, lengths are not.")
    if free.rotation:
        notes.append("Nothing says what is level; the truss is turned as it was drawn.")
    if assumptions:
        number = len(assumptions)
        notes.append(f"{number} assumption{'s' * (number > 1)} taken from the drawing.")
    if overtight and strain is not None:
        notes.append(
            f"The dimensions disagree by {strain:.1f} times their tolerances; widen the"
            " tolerances or measure again."
        )
    return tuple(notes)


def _largest(owners: NDArray[np.intp], values: FloatArray) -> dict[int, float]:
    largest: dict[int, float] = {}
    for owner, value in zip(owners.tolist(), values.tolist(), strict=True):
        largest[owner] = max(largest.get(owner, 0.0), value)
    return largest


def _verdict(dimension: Dimension, measured: str, off: bool, redundancy: float, soft: bool) -> str:
    entry = entry_of(dimension)
    if off and soft:
        return f"Assumption '{entry}' does not fit the dimensions; switch it off."
    if off:
        return (
            f"Dimension '{entry}' contradicts the others, which give {measured}; correct it,"
            " widen its tolerance or remove it."
        )
    if soft:
        return "Assumed from the drawing."
    if redundancy < UNCHECKED:
        return "Taken as given; nothing checks it."
    return "Agrees with the others."
