"""An alphabet of pen strokes on a grid four wide and six high."""

from __future__ import annotations

import numpy as np

from vision.training.fourth.strokes import Points, rounded

__all__ = ["ROUND", "written"]

#: Strokes as pairs of digits (x, y), y down, baseline at 6 and descenders to 8.
_SHAPES = {
    "0": "301002041636444230", "1": "122026", "2": "01103041420646",
    "3": "01103041323323334445361605", "4": "300444 3036", "5": "400003324345361605",
    "6": "3011030516364544331304", "7": "004026", "8": "230201103041422304051636454423",
    "9": "42331302011030414336", "A": "062046 1434", "B": "0006 00304133033344453606",
    "C": "4130100204163644", "D": "0006 002042442606", "E": "40000646 0333", "F": "400006 0333",
    "G": "41301002051636454323", "H": "0006 4046 0343", "I": "2026", "J": "3035261605",
    "K": "0006 400346", "L": "000646", "M": "0600234046", "N": "06004640",
    "O": "301002041636444230", "P": "0006 003041423303", "Q": "301002041636444230 3446",
    "R": "0006 0030414233031346", "S": "4130100112334445361605", "T": "0040 2026",
    "U": "000416364440", "V": "002640", "W": "0016233640", "X": "0046 4006", "Y": "002340 2326",
    "Z": "00400646", "a": "4333130405163644 4346", "b": "0006 0413334445361605",
    "c": "433313041636", "d": "4046 4433130405163645", "e": "0444433313051636",
    "f": "40302126 0343", "g": "43331304163644 4347381807", "h": "0006 0413334446",
    "i": "2326 2121", "k": "0006 330446", "l": "2026", "m": "0306 04132326 24334446",
    "n": "0306 0413334446", "o": "331304051636444333", "p": "0308 0413334445361605",
    "q": "4348 4433130405163645", "r": "0306 041333", "s": "4313043445361605", "t": "202636 0242",
    "u": "0305163645 4346", "v": "032643", "w": "0316243643", "x": "0346 4306", "y": "0326 4308",
    "z": "03430646", ".": "2526", ",": "2517", "-": "0343", "=": "0242 0444", "+": "0343 2125",
    "/": "4006", "(": "3012041436", ")": "1032143416", "'": "2021", '"': "1011 3031",
    ":": "2223 2526", "?": "0110304123 2526", "*": "1135 3115 0343", "°": "2031221120",
    "<": "410345", ">": "014305", "|": "2026",
}  # fmt: skip

#: Characters whose corners are cut when written quickly.
ROUND = set("02356789BCDGJOPQRSUabcdefghmnopqrsu()?°")


def written(
    rng: np.random.Generator, text: str, height: float, neat: float = 0.5
) -> tuple[list[Points], float]:
    """Write a line of text by hand.

    Parameters
    ----------
    height : float
        Of a capital letter.
    neat : float
        0 scrawled to 1 even.

    Returns
    -------
    strokes : list of ndarray
        From the left end of the baseline at the origin, y down.
    width : float
    """
    cell = height / 6
    slant = rng.normal(0.08, 0.12)
    wide = rng.uniform(0.75, 1.15)
    loose = 0.55 * (1 - neat)
    pen, strokes = 0.0, []
    drop = 0.0
    for sign in text:
        if sign == " ":
            pen += 4.0 * wide * cell
            continue
        shape = _SHAPES.get(sign, "0006464000")
        narrow = 0.45 if sign in "1Iil.,:'|" else 1.0
        shift = 2.0 - 2.0 * narrow
        size = 1 + rng.normal(0, 0.12) * loose * 2
        drop = 0.6 * drop + rng.normal(0, 0.5) * loose
        for piece in shape.split():
            grid = np.array(
                [[int(x), int(y)] for x, y in zip(piece[::2], piece[1::2], strict=True)]
            )
            points = grid.astype(float) + rng.normal(0, 0.22 + loose * 0.5, grid.shape)
            if sign in ROUND:
                points = rounded(points)
            x = (points[:, 0] - shift) * wide * size + slant * (6 - points[:, 1])
            y = (points[:, 1] - 6) * size + drop
            strokes.append(np.stack([x * cell + pen, y * cell], axis=1))
        pen += (4 * narrow + rng.uniform(1.0, 2.2)) * wide * cell
    return strokes, pen
