"""Real strokes, letters, papers and pages, packed into one file for training.

Nothing of it is kept with the project: ``python -m vision.training.material REAL FONTS OUT``
packs it anew from a folder of real pictures and ink and a folder of font files.
"""

from __future__ import annotations

import gzip
import itertools
import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from vision.training.hand import Points
from vision.training.lettering import STRIP, Font, hershey_fonts
from vision.training.scene import Hands

__all__ = ["held_out", "load_hands", "load_pictures", "pack"]

Grey = NDArray[Any]
#: Side of the squares in which pages and papers are kept.
SIDE = 768


def held_out() -> set[str]:
    """Names of the real pictures that are kept for evaluation and never trained on."""
    listing = Path(__file__).with_name("held_out.txt").read_text().splitlines()
    return {Path(line.strip()).name for line in listing if line.strip() and line[0] != "#"}


def _read(file: Path) -> Grey:
    return np.asarray(cv2.imread(str(file), cv2.IMREAD_GRAYSCALE), np.uint8)


def _join(arrays: list[Grey]) -> dict[str, NDArray[np.int64] | Grey]:
    ends = np.cumsum([0, *[a.size for a in arrays]])
    flat = np.concatenate([a.ravel() for a in arrays]) if arrays else np.zeros(0, np.uint8)
    return {"data": flat, "ends": ends}


def _coded(grey: Grey, quality: int = 80) -> Grey:
    coded: Grey = cv2.imencode(".jpg", grey, [cv2.IMWRITE_JPEG_QUALITY, quality])[1].ravel()
    return coded


def _glyph(mask: Grey) -> Grey:
    columns = np.nonzero(mask.any(axis=0))[0]
    return mask[:, columns[0] : columns[-1] + 1] if len(columns) else mask[:, :6]


def _file_font(path: Path) -> Font:
    face = ImageFont.truetype(str(path), 44)
    font: Font = {}
    for code in [*range(33, 127), 0xB0]:
        picture = Image.new("L", (3 * STRIP, STRIP))
        ImageDraw.Draw(picture).text((STRIP, 0.74 * STRIP), chr(code), 255, face, anchor="ls")
        font[chr(code)] = [_glyph(np.asarray(picture))]
    tall = np.nonzero(font["H"][0].any(axis=1))[0]
    scale = 0.62 * STRIP / max(len(tall), 1)
    base = 0.74 * STRIP
    for char, (mask,) in font.items():
        wide = max(3, int(mask.shape[1] * scale))
        warp = np.array([[scale, 0, 0], [0, scale, base - scale * (tall[-1] + 1)]])
        font[char] = [cv2.warpAffine(mask, warp, (wide, STRIP), flags=cv2.INTER_AREA)]
    return font


def _digits(path: Path) -> Font:
    stored = np.load(path)
    font: Font = {}
    for digit in range(10):
        font[str(digit)] = []
        for image in stored["x"][stored["y"] == digit][:60]:
            mask = np.zeros((STRIP, 34), np.uint8)
            mask[2:36] = cv2.resize(image, (34, 34), interpolation=cv2.INTER_CUBIC)
            font[str(digit)].append(_glyph(mask))
    return font


def _one_writer(folder: Path) -> Font:
    signs = {"fullstop": ".", "comma": ",", "hiphen": "-", "bracketopen": "(", "bracketclose": ")",
             "question": "?", "exclamation": "!"}  # fmt: skip
    font: Font = {}
    for file in sorted(folder.glob("*.png")):
        name = file.stem
        char = signs.get(name) or (name[0].upper() if name.endswith("upper") else name)
        if len(char) != 1:
            continue
        grey = 255 - _read(file)
        grey = cv2.resize(grey, None, fx=STRIP / grey.shape[0], fy=STRIP / grey.shape[0])
        font[char] = [_glyph(np.where(grey > 60, grey, 0).astype(np.uint8))]
    return font


def _raw_strokes(folder: Path) -> Iterator[Points]:
    for file in sorted(folder.glob("*.ndjson")):
        for line in file.read_text().splitlines():
            for stroke in json.loads(line)["drawing"]:
                yield np.array(stroke[:2], float).T


def _wobbles(folder: Path) -> Points:
    """Sideways departures of nearly straight real strokes, 24 samples, shares of the length."""
    found = []
    for stroke in _raw_strokes(folder):
        along = stroke[-1] - stroke[0]
        length = float(np.hypot(*along))
        if len(stroke) < 6 or length < 60:
            continue
        t = (stroke - stroke[0]) @ along / length**2
        off = (stroke - stroke[0]) @ np.array([-along[1], along[0]]) / length**2
        if np.abs(off).max() > 0.06 or (np.diff(t) < -0.02).any():
            continue
        order = np.argsort(t)
        found.append(np.interp(np.linspace(0, 1, 24), t[order], off[order]))
    return np.array(found)


def _ink_pages(folder: Path) -> Iterator[Grey]:
    """Pages of pen strokes as ink, darkness 0..255."""
    for file in sorted(folder.glob("*.json.gz")):
        for page in json.loads(gzip.decompress(file.read_bytes()))["pages"]:
            scale = 2 * SIDE / max(page["size"])
            ink = np.zeros((2 * SIDE, 2 * SIDE), np.uint8)
            for stroke in page["strokes"]:
                points = np.round(np.array(stroke["p"]) * scale * 16).astype(np.int32)
                if stroke["kind"] == "outline" and len(points) > 2:
                    cv2.fillPoly(ink, [points], 255, cv2.LINE_AA, 4)
                else:
                    cv2.polylines(ink, [points], False, 255, 2, cv2.LINE_AA, 4)
            yield ink


def _scraps(page: Grey) -> Iterator[Grey]:
    """Words and small figures of an ink page, each cut out alone."""
    joined = cv2.dilate((page > 60).astype(np.uint8), np.ones((9, 25), np.uint8))
    count, labels, stats, _ = cv2.connectedComponentsWithStats(joined)
    for k in range(1, count):
        x, y, w, h, _ = stats[k]
        if 18 < h < 260 and 20 < w < 420:
            cut = np.where(labels[y : y + h, x : x + w] == k, page[y : y + h, x : x + w], 0)
            yield cut.astype(np.uint8)


def _squared(grey: Grey, side: int = SIDE) -> Grey:
    scale = side / max(grey.shape)
    small = cv2.resize(grey, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    down, right = side - small.shape[0], side - small.shape[1]
    return cv2.copyMakeBorder(
        small, down // 2, down - down // 2, right // 2, right - right // 2, cv2.BORDER_REPLICATE
    )


def _pictures(real: Path, folders: tuple[str, ...], apart: set[str]) -> Iterator[Grey]:
    for folder in folders:
        for file in sorted((real / folder).iterdir()):
            if file.suffix in (".jpg", ".png") and file.name not in apart:
                yield _read(file)


def pack(real: Path, fonts: Path, out: Path) -> None:
    """Write the material file."""
    apart = held_out()
    letters = [_file_font(path) for path in sorted(fonts.rglob("*latin-400-normal.woff"))]
    letters += [_digits(real / "ink/mnist_digits.npz"), _one_writer(real / "ink/glyphs_one_writer")]
    stored: dict[str, object] = {"wobbles": _wobbles(real / "ink/quickdraw_raw")}
    for index, font in enumerate(letters):
        masks = [(char, mask) for char, many in font.items() for mask in many]
        stored[f"font{index}_chars"] = np.array([ord(char) for char, _ in masks])
        stored[f"font{index}_ends"] = np.cumsum([0, *[mask.shape[1] for _, mask in masks]])
        stored[f"font{index}_strip"] = np.hstack([mask for _, mask in masks])
    ink = list(_ink_pages(real / "ink/moore"))
    scraps = [scrap for page in ink for scrap in _scraps(page)]
    keep = np.random.default_rng(0).permutation(len(scraps))[:2500]
    cut = [cv2.resize(scraps[k], None, fx=0.6, fy=0.6, interpolation=cv2.INTER_AREA) for k in keep]
    groups = {
        "ink": [_coded(cv2.resize(p, (SIDE, SIDE), interpolation=cv2.INTER_AREA)) for p in ink],
        "scraps": [_coded(scrap, 70) for scrap in cut],
        "pages": [
            _coded(_squared(p))
            for p in _pictures(
                real, ("pages", "photos", "mechanics_notes_scan", "mechanics_figures_scan"), apart
            )
        ],
        "papers": [
            _coded(cv2.resize(p, (SIDE, SIDE), interpolation=cv2.INTER_AREA), 85)
            for p in _pictures(real, ("paper", "paper_patches"), apart)
        ],
    }
    for name, arrays in groups.items():
        for key, value in _join(arrays).items():
            stored[f"{name}_{key}"] = value
        print(name, len(arrays), sum(a.size for a in arrays) // 1024, "KiB")
    print("fonts", len(letters), "wobbles", len(stored["wobbles"]))  # type: ignore[arg-type]
    np.savez_compressed(out, **stored)  # type: ignore[arg-type]


def load_pictures(material: Path, group: str) -> list[Grey]:
    """Decode the pictures of a group: ``ink``, ``scraps``, ``pages`` or ``papers``."""
    with np.load(material) as stored:
        data, ends = stored[f"{group}_data"], stored[f"{group}_ends"]
    return [
        np.asarray(cv2.imdecode(data[a:b], cv2.IMREAD_GRAYSCALE), np.uint8)
        for a, b in itertools.pairwise(ends)
    ]


def load_hands(material: Path) -> Hands:
    """Read the strokes and letters of a material file."""
    fonts: list[Font] = list(hershey_fonts())
    with np.load(material) as stored:
        wobbles = stored["wobbles"]
        index = 0
        while f"font{index}_chars" in stored:
            ends, strip = stored[f"font{index}_ends"], stored[f"font{index}_strip"]
            font: Font = {}
            for code, a, b in zip(stored[f"font{index}_chars"], ends[:-1], ends[1:], strict=True):
                font.setdefault(chr(code), []).append(strip[:, a:b])
            fonts += [font, font]
            index += 1
    scraps = tuple(
        np.where(s > 40, s, 0).astype(np.uint8) for s in load_pictures(material, "scraps")
    )
    return Hands(tuple(fonts), wobbles, scraps)


if __name__ == "__main__":
    pack(Path(sys.argv[1]), Path(sys.argv[2]), Path(sys.argv[3]))
