"""From raw evidence to confidence: how often a reading with that evidence is right."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from vision.evidence import chances, curve, logit

__all__ = ["calibrated"]

Curve = tuple[float, float]

#: Logistic curves of the classical reader by part: confidence = 1 / (1 + exp(-(a + b * logit))),
#: with the logit of the raw evidence (Platt 1999). They are set by hand, and low where it often
#: errs; the network's are fitted with the rest of its evidence.
CLASSICAL: dict[str, Curve] = {
    "joint": (0.0, 1.0),
    "member": (0.0, 1.0),
    "support": (0.0, 0.4),
    "load": (0.0, 1.0),
}


def calibrated(source: str, part: str, evidence: NDArray[np.float64]) -> NDArray[np.float64]:
    """Take raw evidence 0..1 of one part to confidences 0..1.

    Parameters
    ----------
    source : str
        `Maps.source` of the maps that gave the evidence.
    part : str
        ``"joint"``, ``"member"``, ``"support"`` or ``"load"``.
    evidence : ndarray

    References
    ----------
    J. Platt, "Probabilistic outputs for support vector machines", in Advances in
    Large Margin Classifiers (1999).
    """
    start, slope = CLASSICAL[part] if source == "classical" else curve(part)
    return chances(start + slope * logit(evidence, 0.01))
