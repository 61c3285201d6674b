"""The working in words and numbers: each step as a person would write it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

from solver.steps import Acting, Check, JointStep, PartStep, SimultaneousStep, Sum, Term
from ui.numbers import number

__all__ = ["check_lines", "equation", "joint_lines", "part_lines", "together_lines", "verdict"]

Known = Mapping[str, float]
_TINY = 1e-9


def equation(total: Sum, found: Known) -> str:
    """Write a sum with its numbers: ``∑Fy = 0:  9 + (3/5)·AF = 0``.

    Forces named in `found` count as known, though the sum does not know them.
    """
    text = ""
    for term in total.terms:
        if _value(term, found) == 0.0:
            continue
        minus, part = _term(term, found, moment=total.kind == "moment")
        if not text:
            text = f"−{part}" if minus else part
        else:
            text += f" {'−' if minus else '+'} {part}"
    return f"{_head(total)} = 0:  {text or '0'} = 0"


def _value(term: Term, found: Known) -> float | None:
    """Value of a term, None while its force is unknown."""
    force = found.get(term.acting.name) if term.acting.force is None else term.acting.force
    return None if force is None else term.factor * force


def _unknowns_alone(total: Sum, found: Known) -> str:
    """Write a sum with its unknown forces on the left and one number on the right."""
    values = [(term, _value(term, found)) for term in total.terms]
    left = Sum(total.kind, tuple(t for t, value in values if value is None), total.direction)
    right = -math.fsum(value for _, value in values if value is not None)
    text = equation(left, found).split(":  ")[1].removesuffix(" = 0")
    return f"or {text} = {number(right)}"


def _head(total: Sum) -> str:
    if total.kind == "x":
        return "∑Fx"
    if total.kind == "y":
        return "∑Fy"
    if total.kind == "moment":
        x, y = total.point or (0.0, 0.0)
        return f"∑M about {total.joint or f'({number(x)}, {number(y)})'}"
    run, rise = total.direction or (0.0, 0.0)
    return f"∑F along ({number(run, 3)}, {number(rise, 3)})"


def _term(term: Term, found: Known, *, moment: bool) -> tuple[bool, str]:
    """Whether a term is taken away, and what it says: ``(3/5)·AF``, or ``6·4`` in a moment."""
    acting = term.acting
    force = found.get(acting.name) if acting.force is None else acting.force
    if acting.kind == "load" and force is not None and not moment:
        value = term.factor * force
        return value < 0, number(abs(value))
    minus = term.factor < 0
    if force is None:
        said = acting.name
    elif acting.kind != "member" or abs(abs(term.factor) - 1.0) < _TINY:
        minus, said = minus != (force < 0), number(abs(force))
    else:
        said = number(force) if force >= 0 else f"({number(force)})"
    factor = _factor(term)
    if factor == "1" and not moment:
        return minus, said
    return minus, f"{said}·{factor}" if moment else f"{factor}·{said}"


def _factor(term: Term) -> str:
    """Write the size of a factor, as a fraction of whole numbers where the slope has one."""
    size = abs(term.factor)
    if abs(size - 1.0) < _TINY:
        return "1"
    run, rise = term.acting.ratio
    long = math.hypot(run, rise)
    if term.acting.kind == "member" and abs(long - round(long)) < 1e-9 and long <= 100:
        for side in (run, rise):
            if abs(side / long - size) < _TINY:
                return f"({number(side)}/{number(round(long))})"
    return number(size)


def verdict(acting: Acting, unit: str) -> str:
    """Say what a force found is: size, and tension or compression by pull or push."""
    force = acting.force or 0.0
    value = f"{acting.name} = {number(force)} {unit}"
    if acting.kind != "member":
        if force == 0.0:
            return f"{acting.name} = 0"
        return value if force > 0 else f"{value}: it acts against the direction assumed"
    if acting.sense == "none":
        return f"{acting.name} = 0: the member carries no force"
    does = "pulls on" if force > 0 else "pushes at"
    return f"{value}: it {does} joint {acting.joint}, {acting.sense}"


def slope_line(acting: Acting, unit: str) -> str | None:
    """Write the slope ratio of an inclined member's force; None for the others."""
    run, rise = acting.ratio
    level_or_plumb = min(abs(run), abs(rise)) < _TINY * math.hypot(run, rise)
    if acting.kind != "member" or not acting.force or level_or_plumb:
        return None
    return (
        f"{acting.name}: x-force : y-force = run : rise = {number(run)} : {number(rise)}, so "
        f"{number(abs(acting.x))} {unit} and {number(abs(acting.y))} {unit}, "
        f"together {number(abs(acting.force))} {unit}"
    )


def joint_lines(step: JointStep, unit: str) -> list[str]:
    """Write one joint: the sums in the order used, what follows, the slope ratios."""
    found: dict[str, float] = {}
    left = list(step.found)
    lines = []
    for total in step.sums:
        open_names = [t.acting.name for t in total.unknown if t.acting.name not in found]
        lines.append(equation(total, found))
        if len(open_names) == 1:
            lines += _follow(left, open_names, found, unit)
        elif len(open_names) > 1 and step.rule == "two unknowns":
            lines.append(_unknowns_alone(total, found))
    if left:
        lines.append("The two sums together give")
        lines += _follow(left, [acting.name for acting in left], found, unit)
    lines += [line for line in (slope_line(acting, unit) for acting in step.found) if line]
    return lines


def _follow(
    left: list[Acting], names: Iterable[str], found: dict[str, float], unit: str
) -> list[str]:
    lines = []
    for acting in [acting for acting in left if acting.name in set(names)]:
        lines.append(f"so {verdict(acting, unit)}")
        found[acting.name] = acting.force or 0.0
        left.remove(acting)
    return lines


def part_lines(step: PartStep, unit: str) -> list[str]:
    """Write the equations of the whole truss, or of a part beside a section."""
    lines = []
    found: dict[str, float] = {}
    for total, acting in step.equations:
        lines.append(equation(total, found))
        lines.append(f"so {verdict(acting, unit)}")
        found[acting.name] = acting.force or 0.0
    return lines


def together_lines(step: SimultaneousStep, unit: str) -> list[str]:
    """Write what the remaining equations give together."""
    return [f"so {verdict(acting, unit)}" for acting in step.found]


def check_lines(check: Check, unit: str, largest: float) -> list[str]:
    """Write the two sums at a joint that was not needed, with what they leave."""
    lines = []
    for total in check.sums:
        left = total.known
        rest = "0" if abs(left) <= 1e-9 * max(largest, 1e-300) else f"{number(left)} {unit}"
        text = equation(total, {}).removesuffix(" = 0").replace(" = 0:", ":")
        lines.append(f"{text} = {rest}")
    return lines
