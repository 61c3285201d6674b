"""From raw evidence to confidence: how often a reading with that evidence is right."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["CURVES", "calibrated"]

#: Logistic curves by the maps' source and by part: confidence = 1 / (1 + exp(-(a + b * logit))),
#: with the logit of the raw evidence (Platt 1999). Those of the network are fitted on 95
#: rendered pictures that neither training nor evaluation used; those of the classical reader
#: are set by hand, and low where it often errs.
CURVES: dict[str, dict[str, tuple[float, float]]] = {
    "network": {
        "joint": (2.07, 2.7),
        "member": (2.61, 1.89),
        "support": (2.51, 2.58),
        "load": (0.0, 1.0),
    },
    "classical": {
        "joint": (0.0, 1.0),
        "member": (0.0, 1.0),
        "support": (0.0, 0.4),
        "load": (0.0, 1.0),
    },
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
    start, slope = CURVES[source][part]
    clipped = np.clip(evidence, 0.01, 0.99)
    confidence: NDArray[np.float64] = 1.0 / (
        1.0 + np.exp(-(start + slope * np.log(clipped / (1.0 - clipped))))
    )
    return confidence
