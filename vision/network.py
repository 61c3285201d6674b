"""The trained network: a grey square in, maps of marks out, through OpenCV's DNN module."""

from __future__ import annotations

from functools import cache, partial
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from model.errors import InputError
from vision.maps import CHANNELS, FloatMap, Maps
from vision.page import Sheet, embolden, find_ink
from vision.passes import Views, drawn_share, ink_frame, look_at, look_closer, whole_frame

__all__ = ["SIZE", "STRIDE", "WEIGHTS", "Network", "available", "load", "look_through", "read_maps"]

#: Side in pixels of the grey square that the network takes.
SIZE = 512

#: Pixels of that square to one cell of the maps.
STRIDE = 2

#: Share of a drawing's lines beside what was taken for the sheet that proves it wrong.
DRAWN_BESIDE = 0.1

#: The weights that ship with the package.
WEIGHTS = Path(__file__).parent / "weights" / "reader.onnx"


class Network:
    """A loaded network.

    Parameters
    ----------
    weights : Path
        ONNX file; input (1, 1, SIZE, SIZE), output (1, channels, SIZE / STRIDE, SIZE / STRIDE).
    """

    def __init__(self, weights: Path) -> None:
        """Load the file."""
        self._net = cv2.dnn.readNetFromONNX(str(weights))

    def maps(self, grey: NDArray[np.uint8]) -> FloatMap:
        """Look once at a grey square.

        Parameters
        ----------
        grey : ndarray of uint8, shape (SIZE, SIZE)
            Dark ink on light paper or light chalk on a dark board, as photographed.

        Returns
        -------
        ndarray of float32, shape (len(CHANNELS), SIZE // STRIDE, SIZE // STRIDE)
            Heats 0..1 and direction components -1..1, in the order of `CHANNELS`. A
            direction's length says how sure it is. Cell c has its centre at input pixel
            ``(c + 0.5) * STRIDE - 0.5``.
        """
        if grey.shape != (SIZE, SIZE) or grey.dtype != np.uint8:
            raise ValueError(f"grey must be a uint8 array of {SIZE} x {SIZE}, not {grey.shape}")
        self._net.setInput((grey.astype(np.float32) / 255.0)[None, None])
        values: FloatMap = self._net.forward()[0]
        return np.clip(values, -1.0, 1.0)


def available() -> bool:
    """Tell whether the weights are in the package."""
    return WEIGHTS.is_file()


@cache
def load(weights: Path = WEIGHTS) -> Network:
    """Load the network once for the whole process.

    Raises
    ------
    InputError
        If the weights file is missing.
    """
    if not weights.is_file():
        raise InputError(
            f"The reader's weights {weights.name} are missing; install the package anew or read "
            "with the classical reader."
        )
    return Network(weights)


def look_through(rgb: NDArray[np.uint8], sheet: Sheet) -> tuple[Maps, Sheet]:
    """Look at a whole picture in all its passes.

    Parameters
    ----------
    rgb : ndarray of uint8, shape (rows, columns, 3)
    sheet : Sheet
        Its ink.

    Returns
    -------
    maps : Maps
    sheet : Sheet
        The ink anew where the drawing goes on beside what was taken for the sheet.
    """
    look = load().maps
    plain = np.asarray(cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY), np.uint8)
    whole = look_at(plain, whole_frame(plain.shape), look, SIZE)
    if sheet.beside is not None and drawn_share(whole, sheet.beside) > DRAWN_BESIDE:
        sheet = find_ink(rgb, sheet_only=False)
    views = Views(partial(embolden, sheet), sheet.contrast, plain)
    return look_closer(views, look, SIZE, whole, ink_frame(sheet.ink)), sheet


def read_maps(
    grey: NDArray[np.uint8], to_picture: NDArray[np.float64], weights: Path | None = None
) -> Maps:
    """Read the maps of one grey square.

    Parameters
    ----------
    grey : ndarray of uint8, shape (SIZE, SIZE)
    to_picture : ndarray, shape (3, 3)
        Homography that takes pixels of the square to pixels of the upright picture.
    weights : Path, optional
        Another ONNX file than the one that ships.

    Returns
    -------
    Maps
        With `to_picture` taken from the square's pixels to the maps' cells.
    """
    values = load(weights or WEIGHTS).maps(grey)
    assert values.shape[0] == len(CHANNELS)
    shift = (STRIDE - 1) / 2
    to_square = np.array([[STRIDE, 0.0, shift], [0.0, STRIDE, shift], [0.0, 0.0, 1.0]])
    return Maps(values, to_picture @ to_square, "network")
