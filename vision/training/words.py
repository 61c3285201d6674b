"""What people write on and beside a truss."""

from __future__ import annotations

import numpy as np

__all__ = ["angle", "force", "length", "letter", "name_of_force", "prose", "result"]

Rng = np.random.Generator


def _number(rng: Rng, low: float, high: float) -> str:
    value = rng.uniform(low, high)
    style = rng.random()
    if style < 0.55:
        return str(round(value))
    if style < 0.85:
        return f"{value:.1f}"
    return f"{value:.2f}"


def force(rng: Rng) -> tuple[str, float | None, str | None]:
    """Return a load's label with its value and unit, where it says them."""
    if rng.random() < 0.25:
        return name_of_force(rng), None, None
    unit = str(
        rng.choice(
            ["kN", "N", "kip", "k", "lb", "kips", ""], p=[0.5, 0.15, 0.1, 0.05, 0.08, 0.04, 0.08]
        )
    )
    high = {"N": 900.0, "lb": 1200.0}.get(unit, 60.0)
    number = _number(rng, 1, high)
    gap = " " if rng.random() < 0.6 else ""
    named = f"{name_of_force(rng)} = " if rng.random() < 0.12 else ""
    return f"{named}{number}{gap}{unit}", float(number), unit or None


def name_of_force(rng: Rng) -> str:
    name = str(rng.choice(["P", "F", "W", "Q", "2P", "P1", "P2", "F1", "F2", "F3", "V", "H", "w"]))
    return name


def reaction(rng: Rng, label: str) -> str:
    style = rng.random()
    if style < 0.5:
        return f"{label}{rng.choice(['x', 'y', 'v', 'h'])}"
    return f"R{label}" if style < 0.8 else f"R{label}{rng.choice(['x', 'y'])}"


def length(rng: Rng) -> str:
    style = rng.random()
    if style < 0.45:
        return f"{_number(rng, 0.5, 12)}{' ' if rng.random() < 0.6 else ''}m"
    if style < 0.6:
        return f"{round(rng.uniform(200, 6000), -2):.0f}{rng.choice(['', ' mm', 'mm'])}"
    if style < 0.75:
        return f"{int(rng.integers(2, 40))}'" + (
            f'-{int(rng.integers(0, 12))}"' if rng.random() < 0.5 else ""
        )
    if style < 0.85:
        return f"{int(rng.integers(2, 40))} ft"
    return str(rng.choice(["a", "L", "h", "b", "L/2", "2a", "s", "x", "d", "4", "3", "2.5", "l"]))


def angle(rng: Rng) -> str:
    return (
        f"{int(rng.choice([30, 45, 60, 35, 40, 50, 53, 37, 90, 20, 25, 15]))}°"
        if rng.random() < 0.8
        else str(rng.choice(["a", "b", "O"]))
    )


def result(rng: Rng) -> str:
    sense = str(rng.choice(["T", "C"]))
    number = _number(rng, 0.5, 90)
    style = rng.random()
    if style < 0.4:
        return f"{number} {rng.choice(['kN ', ''])}({sense})"
    if style < 0.6:
        return f"{rng.choice(['+', '-'])}{number}"
    if style < 0.85:
        return f"{number}{sense}"
    return number


def letter(rng: Rng, index: int, style: int) -> str:
    if style == 0:
        return chr(65 + index % 26) + ("" if index < 26 else "1")
    if style == 1:
        return str(index + 1)
    if style == 2:
        return f"{'UL'[index % 2]}{index // 2}"
    return chr(97 + index % 26)


def prose(rng: Rng) -> str:
    """Return a line of working, a title or a remark."""
    a, b, c = (int(v) for v in rng.integers(1, 60, 3))
    p, q = (chr(65 + int(v)) for v in rng.integers(0, 12, 2))
    lines = [
        f"SFx = 0: {p}x + {a} = 0", "SFy = 0", f"SM{p} = 0", f"F{p}{q} = {a}.{b} kN (T)",
        f"{p}y = {a} kN", f"SM{p}: {a}({b}) - {c}({q}y) = 0", "method of joints", "Joint " + p,
        f"Problem {a}.{b}", f"Ex. {a}", "m + r = 2j", f"{a} + {b} = {a + b}", "Find: forces in all",
        f"cos {a}° = 0.{b}", f"{p}{q} = {a}/{b}", "Section a-a", f"F = {a} sin {b}", "Solution",
        "Given:", f"{p}{q} zero force member", f"x = {a}.{b} m", "check!", "NOTE", f"={a}.{b}",
        "Boathouse roof", "jetty bridge", "by symmetry", f"{a}/{b} = {c}", f"R{p} = {a} kN up",
        f"tan = {a}/{b}", "FBD", f"({a})", "page 2", "date 3.4.", "scale 1:50", "not to scale",
    ]  # fmt: skip
    return str(lines[int(rng.integers(len(lines)))])
