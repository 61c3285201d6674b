"""What a reader of ink sees in a picture: one value per cell for each kind of mark."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["CHANNELS", "Maps"]

FloatMap = NDArray[np.float32]

#: Order of the channels in the network's output; heats are probabilities 0..1,
#: directions are components -1..1 of a unit vector, counter-clockwise positive
#: as seen (so the second component of a vector pointing up the page is +1).
CHANNELS = (
    "member",  # centre line of a member's ink
    "member_cos2",  # direction of that line, as the cosine and sine of twice its angle
    "member_sin2",
    "joint",  # a joint
    "crossing",  # two members cross without a joint
    "pin",  # a joint held by a pin
    "roller",  # a joint held by a roller
    "support_cos",  # direction in which the support pushes on the truss
    "support_sin",
    "load",  # a joint that carries a load
    "load_cos",  # direction in which the load (or the reaction arrow) acts
    "load_sin",
    "load_head",  # the arrow's head
    "load_tail",  # the arrow's far end
    "reaction",  # a joint with a reaction drawn as an arrow
    "dimension",  # dimension lines, extension lines, angle arcs, slope triangles, section cuts
    "text",  # writing
)


@dataclass(frozen=True)
class Maps:
    """Maps of one picture (or of one part of it, brought to the reader's size).

    Attributes
    ----------
    values : ndarray, shape (len(CHANNELS), rows, columns), float32
        One map per channel, in the order of `CHANNELS`.
    to_picture : ndarray, shape (3, 3)
        Homography that takes map coordinates (column, row; cell centres at
        whole numbers) to pixels of the upright picture.
    source : str
        Name of the reader that made the maps: ``"network"`` or ``"classical"``.
    """

    values: FloatMap
    to_picture: NDArray[np.float64]
    source: str

    def __getitem__(self, channel: str) -> FloatMap:
        """Return the map of one channel by its name."""
        channel_map: FloatMap = self.values[CHANNELS.index(channel)]
        return channel_map

    def believed(self, odds: float) -> Maps:
        """The maps with the odds of every member and joint `odds` times as high."""
        values = self.values.copy()
        for channel in ("member", "joint"):
            heat = np.clip(self[channel], 0.0, 1.0)
            values[CHANNELS.index(channel)] = odds * heat / (1.0 + (odds - 1.0) * heat)
        return Maps(values, self.to_picture, self.source)
