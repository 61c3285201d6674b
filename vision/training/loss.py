"""What the network is punished for."""

from __future__ import annotations

import torch
from torch import Tensor
from torch.nn import functional

from vision.maps import CHANNELS
from vision.training.model import DIRECTIONS, HEATS

__all__ = ["loss_of"]

_POINTS = [
    CHANNELS.index(c)
    for c in ("joint", "crossing", "pin", "roller", "load", "load_head", "load_tail", "reaction")
]
_AREAS = [i for i in HEATS if i not in _POINTS]
_WEIGHT = {
    "member": 2.0, "joint": 2.0, "crossing": 1.0, "pin": 1.5, "roller": 1.5, "load": 1.5,
    "load_head": 0.9, "load_tail": 0.9, "reaction": 1.0, "dimension": 0.6, "text": 0.3,
}  # fmt: skip


def loss_of(out: Tensor, target: Tensor, known: Tensor) -> Tensor:
    """Sum the losses of all maps.

    Points take the penalty-reduced focal loss of Zhou et al., Objects as Points (2019);
    areas cross-entropy and Dice; directions the squared error where there is one.

    Parameters
    ----------
    out, target : Tensor, shape (b, channels, cells, cells)
        Raw maps and perfect maps.
    known : Tensor, shape (b,)
        0 where a real page's writing and lines have not been labelled.
    """
    total = out.new_zeros(())
    raw = out.unbind(1)  # one gradient for all channels, where slices would make one each
    for i in _POINTS:
        p, t = raw[i], target[:, i]
        q = torch.sigmoid(p)
        peak = (t == functional.max_pool2d(t[:, None], 3, 1, 1)[:, 0]) & (t > 0.8)
        loss = torch.where(
            peak,
            (1 - q) ** 2 * functional.softplus(-p),
            (1 - t) ** 4 * q**2 * functional.softplus(p),
        )
        total = total + _WEIGHT.get(CHANNELS[i], 0.6) * loss.sum() / peak.sum().clamp(min=8)
    for i in _AREAS:
        weight = known if CHANNELS[i] in ("dimension", "text") else torch.ones_like(known)
        p, t = raw[i], target[:, i]
        wrong = 3.0 * t * functional.softplus(-p) + (1 - t) * functional.softplus(p)
        bce = wrong.mean((1, 2))
        q = torch.sigmoid(p)
        dice = 1 - (2 * (q * t).sum((1, 2)) + 20) / (q.sum((1, 2)) + t.sum((1, 2)) + 20)
        loss = ((bce * 4 + dice) * weight).sum() / weight.sum().clamp(min=1)
        total = total + _WEIGHT.get(CHANNELS[i], 0.5) * loss
    for i in DIRECTIONS[::2]:
        on = (target[:, i : i + 2].square().sum(1) > 0.25).float()
        for k in (i, i + 1):
            off = (torch.tanh(raw[k]) - target[:, k]).square()
            total = total + (off * on).sum() / on.sum().clamp(min=20)
    return total
