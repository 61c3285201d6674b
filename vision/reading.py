"""The pipeline: a picture file in, a candidate out."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from time import perf_counter

import cv2
import numpy as np
from numpy.typing import NDArray

from model.candidate import (
    Candidate,
    CandidateJoint,
    CandidateLoad,
    CandidateMember,
    CandidateSupport,
    Doubt,
    PictureFacts,
)
from model.errors import InputError
from vision import network
from vision.beyond import other_truss, out_of_frame
from vision.classical import read_ink
from vision.confidence import calibrated
from vision.doubts import list_doubts
from vision.glance import lay_bare
from vision.graph import Graph, choose_graph, connected_pieces
from vision.hanging import take_out_hanging
from vision.loads import FoundLoad, find_loads
from vision.maps import Maps
from vision.overlooked import Overlooked, find_overlooked
from vision.page import Sheet, find_ink
from vision.passes import carry
from vision.picture import Picture, load
from vision.plausible import Signs, looks_like_truss
from vision.refit import refit
from vision.supports import FoundSupport, find_supports, supported

__all__ = ["READERS", "NoTruss", "read_picture"]

#: Names of the readers: 'best' is the network where its weights are there, else 'classical'.
READERS = ("best", "network", "classical", "lsd", "hough")


#: Said with every reading that had to do without the trained network.
WITHOUT_NETWORK = Doubt(
    about="truss",
    joints=[],
    reason="Read without the trained network, whose weights are missing: check every line.",
)


#: Said with a reading that was made only when nothing surer was seen.
PERHAPS_NO_TRUSS = Doubt(
    about="truss",
    joints=[],
    reason="It is not certain that this drawing is a truss: check every line.",
)
#: How much likelier lines and joints are taken to be where nothing is seen without that.
BENEFIT_OF_DOUBT = 6.0


class NoTruss(InputError):  # noqa: N818 - what was found, not a fault
    """The picture can be seen but holds no truss."""


def read_picture(
    source: Path | bytes,
    *,
    reader: str = "best",
    page: int | None = None,
    name: str | None = None,
) -> Candidate:
    """Read the truss drawn in a picture.

    Parameters
    ----------
    source : Path or bytes
        Picture file or its content: JPEG, PNG, WebP, TIFF, HEIC or PDF.
    reader : str
        One of `READERS`.
    page : int, optional
        Page of a PDF or TIFF, from 1.
    name : str, optional
        Name for messages and for the candidate; the file's own by default.

    Returns
    -------
    Candidate
        In pixels of the full upright picture.

    Raises
    ------
    NoTruss
        If no truss is seen.
    InputError
        If the picture cannot be used.
    """
    started = perf_counter()
    if reader not in READERS:
        raise InputError(f"reader {reader!r} is not known; use one of {', '.join(READERS)}.")
    picture = load(source, page=page, name=name)
    sheet = find_ink(picture.rgb)
    maps, sheet = _maps(picture, sheet, reader)
    doubts: list[Doubt] = []
    trusses = _trusses(maps, sheet, picture)
    if not trusses and maps.source == "network":
        maps = maps.believed(BENEFIT_OF_DOUBT)
        trusses, doubts = _trusses(maps, sheet, picture), [PERHAPS_NO_TRUSS]
    if not trusses:
        raise NoTruss(
            f"{picture.name}: no truss found; try a closer, sharper photo with the whole truss in "
            "the frame, or trace it by hand."
        )
    truss = trusses[0]
    placed = replace(truss, graph=_place(truss.graph, picture, sheet, _cell(maps)))
    doubts += [
        other_truss(len(truss.graph.at), picture.to_full(other.graph.at), other.graph.members)
        for other in trusses[1:]
        if len(other.graph.members) >= 0.3 * len(truss.graph.members)
    ]
    if reader == "best" and maps.source != "network":
        doubts.append(WITHOUT_NETWORK)
    inked = _inked_places(maps, truss.graph)
    cut = out_of_frame(picture.width, picture.height, picture.to_full(inked))
    overlooked = _overlooked(truss, maps, picture)
    return _candidate(
        picture, placed, overlooked, [*doubts, *([cut] if cut else [])], perf_counter() - started
    )


def _trusses(maps: Maps, sheet: Sheet, picture: Picture) -> list[_Truss]:
    """All that can be trusses in the maps, largest first."""
    pieces = (_read_piece(piece, maps, sheet) for piece in connected_pieces(choose_graph(maps)))
    trained = maps.source == "network"
    return [truss for truss in pieces if truss.plausible(picture, trained=trained)]


def _overlooked(truss: _Truss, maps: Maps, picture: Picture) -> Overlooked:
    """What else may be drawn, in pixels of the full picture."""
    held = {support.joint for support in truss.supports}
    found = find_overlooked(maps, truss.graph, held, [*truss.loads, *truss.unsure])
    joints = [replace(maybe, at=picture.to_full(maybe.at[None])[0]) for maybe in found.joints]
    return replace(found, joints=tuple(joints))


def _inked_places(maps: Maps, graph: Graph) -> NDArray[np.float64]:
    """Places on members' ink that hangs together with a truss, in pixels of the working copy."""
    inked = cv2.dilate((maps["member"] > 0.5).astype(np.uint8), np.ones((3, 3), np.uint8))
    _, labels = cv2.connectedComponents(inked)
    to_map = np.asarray(np.linalg.inv(maps.to_picture), dtype=np.float64)
    columns, rows = np.round(carry(to_map, graph.at)).astype(int).T
    inside = (columns >= 0) & (columns < labels.shape[1]) & (rows >= 0) & (rows < labels.shape[0])
    own = np.isin(labels, np.unique(labels[rows[inside], columns[inside]])) & (inked > 0)
    rows, columns = np.nonzero(own & (maps["member"] > 0.5))
    return carry(maps.to_picture, np.column_stack([columns, rows]).astype(np.float64))


@dataclass(frozen=True)
class _Truss:
    """A graph, in pixels of the working copy, and what is drawn at its joints."""

    graph: Graph
    supports: list[FoundSupport]
    loads: list[FoundLoad]
    unsure: list[FoundLoad]
    source: str

    def confidence(self, part: str) -> list[float]:
        """Calibrated confidences of all joints, members, supports or loads."""
        joints = self.graph.joint_confidence
        evidence = {
            "joint": joints,
            "member": np.array(
                [
                    score * min(joints[a], joints[b])
                    for (a, b), score in zip(
                        self.graph.members, self.graph.member_confidence, strict=True
                    )
                ]
            ),
            "support": np.array([support.evidence for support in self.supports]),
            "load": np.array([load.confidence for load in self.loads]),
        }[part]
        shares = calibrated(self.source, part, np.asarray(evidence, dtype=np.float64))
        return [round(float(share), 3) for share in shares]

    def plausible(self, picture: Picture, *, trained: bool) -> bool:
        """Tell whether this can be a truss at all."""
        diagonal = float(np.hypot(*picture.rgb.shape[:2]))
        held = {support.joint for support in self.supports}
        reactions = sum(2 if support.kind == "pin" else 1 for support in self.supports)
        reactions += sum(not arrow.is_load and arrow.joint not in held for arrow in self.loads)
        supports = sum(support.evidence for support in self.supports)
        signs = Signs(reactions, supports, sum(arrow.confidence for arrow in self.loads))
        return looks_like_truss(self.graph, diagonal, signs, trained=trained)


def _read_piece(piece: Graph, maps: Maps, sheet: Sheet) -> _Truss:
    """Read what is drawn at the joints; outlines of supports do not stay members."""
    graph, hanging = take_out_hanging(piece, supported(maps, piece.at))
    ink = lay_bare(sheet, carry(maps.to_picture, graph.at), graph.members)
    supports = find_supports(maps, graph.at, graph.members, ink)
    seen = {support.joint for support in supports}
    supports += [
        FoundSupport(outline.joint, "pin", outline.angle_deg, 0.3)
        for outline in hanging
        if outline.joint not in seen
    ]
    arrows = find_loads(maps, graph.at, graph.members, ink)
    loads = [arrow for arrow in arrows if arrow.is_read]
    unsure = [arrow for arrow in arrows if not arrow.is_read]
    placed = graph.moved(carry(maps.to_picture, graph.at))
    return _Truss(placed, supports, loads, unsure, maps.source)


def _cell(maps: Maps) -> float:
    """Pixels to a cell."""
    return float(np.sqrt(abs(np.linalg.det(maps.to_picture[:2, :2]))))


def _maps(picture: Picture, sheet: Sheet, reader: str) -> tuple[Maps, Sheet]:
    if reader == "best":
        reader = "network" if network.available() else "classical"
    if reader == "network":
        return network.look_through(picture.rgb, sheet)
    return read_ink(sheet.ink, reader), sheet


def _place(graph: Graph, picture: Picture, sheet: Sheet, cell: float) -> Graph:
    """Fit joints to the ink and take them to the full picture."""
    fitted = refit(graph, sheet.contrast, max(1.2 * cell, 2.0))
    return fitted.moved(picture.to_full(fitted.at))


def _candidate(
    picture: Picture, truss: _Truss, overlooked: Overlooked, doubts: list[Doubt], seconds: float
) -> Candidate:
    graph = truss.graph
    joints = [
        CandidateJoint(id=index, x=_round(x), y=_round(y), confidence=confidence)
        for index, ((x, y), confidence) in enumerate(
            zip(graph.at, truss.confidence("joint"), strict=True)
        )
    ]
    members = [
        CandidateMember(a=a, b=b, confidence=confidence)
        for (a, b), confidence in zip(graph.members, truss.confidence("member"), strict=True)
    ]
    supports = [
        CandidateSupport(
            joint=found.joint,
            kind="pin" if found.kind == "pin" else "roller",
            angle_deg=_round(found.angle_deg),
            confidence=confidence,
        )
        for found, confidence in zip(truss.supports, truss.confidence("support"), strict=True)
    ]
    arrows = [
        CandidateLoad(
            joint=found.joint,
            direction_deg=_round(found.direction_deg % 360.0),
            confidence=confidence,
        )
        for found, confidence in zip(truss.loads, truss.confidence("load"), strict=True)
    ]
    is_load = [found.is_load for found in truss.loads]
    loads = [arrow for arrow, acts in zip(arrows, is_load, strict=True) if acts]
    reactions = [arrow for arrow, acts in zip(arrows, is_load, strict=True) if not acts]
    doubts = doubts + list_doubts(
        joints,
        members,
        supports,
        loads,
        faint=graph.faint,
        reactions=reactions,
        overlooked=overlooked,
    )
    return Candidate(
        picture=PictureFacts(
            name=picture.name, width=picture.width, height=picture.height, sha256=picture.sha256
        ),
        joints=joints,
        members=members,
        supports=supports,
        loads=loads,
        doubts=doubts,
        seconds=round(seconds, 3),
    )


def _round(value: float) -> float:
    return round(float(value), 1)
