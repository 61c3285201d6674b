"""Sketches of trusses for measuring readers: one seed, one photo with its truth.

Written apart from the renderer that training uses: other pens, papers, hands
and cameras, so that a reader is measured on drawings it has not learnt from.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from model.candidate import (
    Candidate,
    CandidateJoint,
    CandidateLoad,
    CandidateMember,
    CandidateSupport,
    PictureFacts,
)
from sample_sketches.camera import Photo, photograph
from sample_sketches.figure import Figure, Measure, Pull, Slope, Stand, draw_figure
from sample_sketches.hand import Hand
from sample_sketches.surfaces import make_surface
from sample_sketches.symbols import draw_member, unit_vector
from tests.benchmarks.sketches import extras
from tests.benchmarks.sketches.families import FAMILIES, Plan
from tests.benchmarks.sketches.settings import LEVELS, Level, Setting, choose_setting

__all__ = ["Sketch", "make_sketch"]

Rng = np.random.Generator
Kind = Literal["pin", "roller"]
FloatArray = NDArray[np.float64]

_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"


@dataclass(frozen=True)
class Sketch:
    """A photo, what a perfect reading of it gives, and what makes it hard.

    Attributes
    ----------
    jpeg : bytes
    truth : Candidate
    tags : dict
        ``difficulty``, ``family``, ``paper`` and ``pen``.
    """

    jpeg: bytes
    truth: Candidate
    tags: dict[str, str]


def make_sketch(seed: int, difficulty: str) -> Sketch:
    """Draw and photograph one truss; the same arguments always give the same sketch."""
    rng = np.random.default_rng([seed, sorted(LEVELS).index(difficulty)])
    level = LEVELS[difficulty]
    family = level.families[seed % len(level.families)]
    plan = FAMILIES[family](rng, int(rng.integers(level.sizes[0], level.sizes[1] + 1)))
    setting = choose_setting(rng, level, upright=_aspect(plan) < 0.9)
    figure = _figure(rng, level, setting, plan)
    surface = make_surface(setting.paper, setting.size, setting.scale, rng)
    hand = Hand(surface, setting.pen, setting.manner, rng)
    draw_figure(hand, figure)
    _draw_extras(hand, level, setting, figure)
    photo = photograph(surface, setting.view, rng)
    spots = photo.place(list(figure.places.values()))
    edge = 0.012 * max(photo.width, photo.height)
    if (spots < edge).any() or (spots > np.array([photo.width, photo.height]) - edge).any():
        photo = photograph(surface, replace(setting.view, margin=0.02), rng)
    tags = {"difficulty": difficulty, "family": family, "paper": setting.paper}
    tags["pen"] = setting.pen.name
    return Sketch(photo.jpeg, _truth(figure, photo, f"{difficulty}_{seed:03d}.jpg"), tags)


def _aspect(plan: Plan) -> float:
    width, height = np.ptp(plan.points, axis=0)
    return float(width / max(height, 1e-9))


def _figure(rng: Rng, level: Level, setting: Setting, plan: Plan) -> Figure:
    """Put a plan on the sheet and dress it with supports, loads, letters and numbers."""
    names = _names(rng, len(plan.points))
    places = _places(rng, level, setting, plan)
    at = dict(zip(names, map(tuple, places.tolist()), strict=True))
    members = [(names[a], names[b]) for a, b in plan.members]
    mark = str(rng.choice(["none", "dot", "open"], p=level.marks))
    figure = Figure(
        at,
        tuple(members[i] for i in rng.permutation(len(members))),
        _stands(rng, level, plan, names),
        mark=mark,
        mark_radius=float(rng.uniform(0.9, 1.9)) + 0.3 * setting.pen.width,
        double=float(rng.uniform(1.8, 3.0)) + setting.pen.width
        if rng.random() < level.double and mark != "open"
        else 0.0,
        support_size=float(rng.uniform(6.5, 11)) + setting.pen.width,
        letter_height=setting.letter_height,
        load_pen=setting.load_pen,
        note_pen=setting.note_pen,
        labels=bool(rng.random() < 0.88),
        closed_heads=bool(rng.random() < 0.25),
    )
    figure = replace(figure, pulls=_pulls(rng, level, plan, figure, names))
    return replace(
        figure,
        measures=_measures(rng, level, plan, figure, names),
        slopes=_slopes(rng, level, figure),
    )


def _names(rng: Rng, count: int) -> list[str]:
    if count > len(_LETTERS) or rng.random() < 0.15:
        return [str(i + 1) for i in range(count)]
    return list(_LETTERS[:count])


def _places(rng: Rng, level: Level, setting: Setting, plan: Plan) -> FloatArray:
    """Places of the joints on the sheet in mm, a little out of scale."""
    width, height = setting.size
    room = np.array([width * rng.uniform(*level.fill), height * rng.uniform(0.5, 0.62)])
    low, span = plan.points.min(0), np.ptp(plan.points, axis=0)
    scale = float((room / np.maximum(span, 1e-6)).min())
    stretch = np.array([1.0, rng.uniform(0.92, 1.1)]) * scale
    drawn = (plan.points - low) * stretch
    if rng.random() < 0.12 and plan.seats[0][1] == 90.0:
        drawn[:, 0] = drawn[:, 0].max() - drawn[:, 0]
    size = np.ptp(drawn, axis=0)
    free = np.array([width, height * 0.90]) - size
    corner = free * [rng.uniform(0.4, 0.6), rng.uniform(0.45, 0.62)]
    page = np.stack([corner[0] + drawn[:, 0], corner[1] + size[1] - drawn[:, 1]], 1)
    return np.asarray(page + rng.normal(0, level.sway, page.shape))


def _stands(rng: Rng, level: Level, plan: Plan, names: list[str]) -> tuple[Stand, ...]:
    if rng.random() < level.no_supports:
        return ()
    stands = []
    for number, (joint, push) in enumerate(plan.seats):
        wall_pair = push == 0.0 and rng.random() < 0.4
        kind: Kind = "pin" if number == 0 or wall_pair else "roller"
        angle = push
        if kind == "roller" and push == 90.0 and rng.random() < level.inclined:
            angle = float(rng.choice([60.0, 120.0, 45.0, 135.0]))
        style = str(rng.choice(["triangle", "wheel", "bare"], p=level.support_styles))
        stands.append(Stand(names[joint], kind, angle, style))
    return tuple(stands)


def _pulls(
    rng: Rng, level: Level, plan: Plan, figure: Figure, names: list[str]
) -> tuple[Pull, ...]:
    """Choose loads that do not run along a member, with the head or the tail at the joint."""
    pulls = []
    unit = str(rng.choice(["kN", "kN", "N", "lb", "k", ""]))
    slanted = rng.random() < level.slanted
    wanted = int(rng.integers(1, level.most_loads + 1))
    for joint in rng.permutation(plan.loadable)[:wanted]:
        name = names[int(joint)]
        held = [s.angle for s in figure.stands if s.joint == name]
        direction = 270.0
        if slanted and rng.random() < 0.5:
            direction = float(rng.choice([0.0, 180.0, 225.0, 315.0, 240.0, 300.0, 330.0]))
        busy = [
            figure.at(b if a == name else a) - figure.at(name)
            for a, b in figure.members
            if name in (a, b)
        ] + [-unit_vector(angle) for angle in held]
        before, after = _room(-unit_vector(direction), busy), _room(unit_vector(direction), busy)
        head = before > 24 and (after <= 24 or rng.random() < 0.65)
        if not head and after <= 24:
            continue
        text = "P" if rng.random() < 0.12 else f"{rng.integers(1, 60)} {unit}".strip()
        turn = np.deg2rad(direction)
        pulls.append(
            Pull(
                name, float(np.cos(turn)), float(np.sin(turn)), text, head,
                float(rng.uniform(13, 26)), direction,
            )
        )  # fmt: skip
    return tuple(pulls)


def _room(direction: FloatArray, busy: list[FloatArray]) -> float:
    """Smallest angle in degrees between a direction and those that are taken."""
    cosines = [float(direction @ way / np.hypot(*way)) for way in busy]
    return float(np.degrees(np.arccos(np.clip(max(cosines, default=-1.0), -1, 1))))


def _measures(
    rng: Rng, level: Level, plan: Plan, figure: Figure, names: list[str]
) -> tuple[Measure, ...]:
    if rng.random() > level.dimensioned:
        return ()
    unit = str(rng.choice(["m", "m", "m", "ft", "mm", ""]))
    measures = []
    base = [names[i] for i in plan.base]
    lowest = max(figure.at(name)[1] for name in base)
    hanging = [p.length + 13 for p in figure.pulls if not p.head and 200 < p.direction < 340]
    drop = max(float(rng.uniform(24, 31)), 1.6 * figure.support_size + 12, *hanging)
    chain = list(pairwise(base))
    if len(chain) > 6 or rng.random() < 0.25:
        chain = [(base[0], base[-1])]
    if not (figure.stands and figure.stands[0].angle == 0.0):
        for a, b in chain:
            offset = -(lowest - figure.at(a)[1] + drop)
            measures.append(Measure("horizontal", a, b, _length(rng, unit), offset))
    right = max(figure.places, key=lambda name: figure.places[name][0])
    top = min(figure.places, key=lambda name: figure.places[name][1])
    if rng.random() < 0.6 and abs(figure.at(right)[1] - figure.at(top)[1]) > 25:
        measures.append(Measure("vertical", right, top, _length(rng, unit), -16.0))
    if rng.random() < level.plain_lengths:
        for index in rng.permutation(len(figure.members))[:2]:
            a, b = figure.members[int(index)]
            if np.hypot(*(figure.at(a) - figure.at(b))) > 28:
                measures.append(Measure("length", a, b, _length(rng, unit), 1.6, True))
    return tuple(measures)


def _length(rng: Rng, unit: str) -> str:
    return f"{rng.integers(2, 9)} {unit}".strip()


def _slopes(rng: Rng, level: Level, figure: Figure) -> tuple[Slope, ...]:
    """Put a slope triangle beside a slanting member of the outline, now and then."""
    if rng.random() > level.sloped:
        return ()
    top = min(figure.places.values(), key=lambda place: place[1])
    for a, b in figure.members:
        (ax, ay), (bx, by) = figure.places[a], figure.places[b]
        if top in ((ax, ay), (bx, by)) and 0.35 < abs(by - ay) / max(abs(bx - ax), 1e-6) < 1.4:
            low, high = (a, b) if ay > by else (b, a)
            right = figure.at(high)[0] > figure.at(low)[0]
            aside = 10.0 if right else -10.0
            return (Slope(low, high, 4 if right else -4, int(rng.integers(2, 5)), (0.4, aside)),)
    return ()


def _draw_extras(hand: Hand, level: Level, setting: Setting, figure: Figure) -> None:
    """Add titles, sums, marks and corrections as the level asks."""
    rng = hand.rng
    notes = hand.holding(figure.note_pen or hand.pen)
    points = np.array(list(figure.places.values()))
    width, height = setting.size
    letter = figure.letter_height
    top, bottom = points[:, 1].min(), points[:, 1].max()
    if rng.random() < level.written and top > 42:
        extras.draw_title(notes, (rng.uniform(18, 40), rng.uniform(20, 26)), letter * 1.25)
    if rng.random() < level.written and height - bottom > 52 + 2 * letter:
        box = (rng.uniform(20, width * 0.4), bottom + 44, width - 18, height - 12)
        extras.draw_sums(notes, box, letter * 0.85)
    if rng.random() < level.answered:
        extras.draw_answers(notes, figure, 0.6)
    if rng.random() < level.zero_marked:
        extras.draw_zero_marks(hand, figure, int(rng.integers(1, 3)))
    if rng.random() < level.cut:
        extras.draw_section_cut(notes, figure)
    if rng.random() < level.angled:
        extras.draw_angle(notes, figure)
    if figure.stands and rng.random() < level.reactions:
        arrows = hand.holding(figure.load_pen or hand.pen)
        for stand in figure.stands:
            below = 1.75 * figure.support_size
            extras.draw_reaction(arrows, figure, stand.joint, stand.angle, below)
    if rng.random() < level.redrawn:
        for index in rng.permutation(len(figure.members))[: int(rng.integers(1, 3))]:
            a, b = figure.members[int(index)]
            draw_member(hand, figure.at(a), figure.at(b), double=figure.double)
    if rng.random() < level.doodled and top > 40:
        extras.draw_doodle(notes, (width - rng.uniform(25, 45), 24), rng.uniform(5, 10))


def _seen_angle(photo: Photo, at: FloatArray, angle: float) -> float:
    """Direction in the picture of a direction on the sheet, in degrees."""
    ends = photo.place([at, at + 4 * unit_vector(angle)])
    x, y = ends[1] - ends[0]
    return round(float(np.degrees(np.arctan2(-y, x)) % 360), 2)


def _truth(figure: Figure, photo: Photo, name: str) -> Candidate:
    ids = {joint: number for number, joint in enumerate(figure.places)}
    pixels = photo.place(list(figure.places.values())).round(2).tolist()
    return Candidate(
        picture=PictureFacts(
            name=name,
            width=photo.width,
            height=photo.height,
            sha256=hashlib.sha256(photo.jpeg).hexdigest(),
        ),
        joints=[
            CandidateJoint(id=ids[joint], x=x, y=y, label=joint if figure.labels else None)
            for joint, (x, y) in zip(figure.places, pixels, strict=True)
        ],
        members=[CandidateMember(a=ids[a], b=ids[b]) for a, b in figure.members],
        supports=[
            CandidateSupport(
                joint=ids[s.joint],
                kind=s.kind,
                angle_deg=_seen_angle(photo, figure.at(s.joint), s.angle),
            )
            for s in figure.stands
        ],
        loads=[
            CandidateLoad(
                joint=ids[pull.joint],
                direction_deg=_seen_angle(photo, figure.at(pull.joint), pull.direction),
            )
            for pull in figure.pulls
        ],
    )
