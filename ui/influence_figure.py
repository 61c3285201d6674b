"""The influence line of one member, drawn over the chain that the load travels along."""

from __future__ import annotations

from solver.influence import InfluenceLines
from ui.labels import beside, place
from ui.marks import COMPRESSION, INK, NO_FORCE, TENSION, Circle, Mark, Path, Point, Sheet, Words
from ui.numbers import number

__all__ = ["influence_figure"]

_WIDTH, _HEIGHT, _MARGIN, _SIZE = 900.0, 380.0, 70.0, 22.0


def influence_figure(lines: InfluenceLines, member: int, title: str, unit: str) -> Sheet:
    """Draw a member's force under a unit load at each joint of the chain.

    Parameters
    ----------
    lines : InfluenceLines
    member : int
        Its position.
    title : str
    unit : str
        Of lengths.
    """
    ordinates = lines.forces[member].tolist()
    reach = float(lines.positions[-1]) or 1.0
    across = [_MARGIN + x / reach * (_WIDTH - 2 * _MARGIN) for x in lines.positions.tolist()]
    high, low = max(0.0, *ordinates), min(0.0, *ordinates)
    scale = (_HEIGHT - 2.6 * _MARGIN) / ((high - low) or 1.0)
    level = 1.0 * _MARGIN + high * scale
    line: list[Point] = [(x, level - v * scale) for x, v in zip(across, ordinates, strict=True)]
    marks: list[Mark] = [
        Path(((across[0], level), *line, (across[-1], level)), NO_FORCE, 1.0, fill=NO_FORCE,
             closed=True, opacity=0.25),
        Path(((across[0], level), (across[-1], level)), INK, 2.0),
        Path(tuple(line), INK, 4.0),
    ]  # fmt: skip
    for (x, y), value in zip(line, ordinates, strict=True):
        marks.append(Circle((x, y), 6.0, TENSION if value > 0 else COMPRESSION, 3.0, "#FFFFFF"))
    marks += _written(line, ordinates)
    below = _HEIGHT - 0.55 * _MARGIN
    for name, x, at in zip(lines.joints, across, lines.positions.tolist(), strict=True):
        marks.append(Path(((x, level), (x, below - 1.6 * _SIZE)), NO_FORCE, 1.0, dash=(3.0, 5.0)))
        marks.append(Words(name, (x, below - 0.9 * _SIZE), _SIZE))
        if len(across) <= 12:
            marks.append(Words(number(at, 3), (x, below + 0.2 * _SIZE), 0.8 * _SIZE, bold=False))
    marks.append(Words(unit, (_WIDTH - 0.35 * _MARGIN, below + 0.2 * _SIZE), 0.8 * _SIZE))
    return Sheet(_WIDTH, _HEIGHT, tuple(marks), title=title)


def _written(line: list[Point], ordinates: list[float]) -> list[Mark]:
    """Ordinates beside their points, as many as have room."""
    if len(line) > 16:
        return []
    wishes = [
        beside(number(value, 3), point, _SIZE, away_deg=90.0 if value >= 0 else 270.0, reach=9.0)
        for point, value in zip(line, ordinates, strict=True)
    ]
    placed = place(wishes, frame=(0.0, 0.0, _WIDTH, _HEIGHT))
    return [Words(label.text, (label.x, label.y), _SIZE, plate=None) for label in placed]
