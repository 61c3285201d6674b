"""A person's own answers as they write them: CSV with the columns what, value, unit."""

from __future__ import annotations

import csv
import re

from model import units
from model.errors import InputError
from model.job import Answer

__all__ = ["answer_value", "read_answers"]

_COLUMNS = {"what", "value", "unit"}
_SENSE = re.compile(r"^(?P<rest>.*?)[\s(]*(?P<sense>T|C|c|tension|compression)\s*\)?$", re.DOTALL)
_TONNES_OR_TENSION = re.compile(r"[\d.\s(]t\s*\)?$")


def read_answers(text: str) -> dict[int, Answer]:
    """Read an answers file.

    Parameters
    ----------
    text : str
        CSV with a header that names the columns ``what``, ``value`` and, if
        wanted, ``unit``, in any order; separated by commas, semicolons or tabs.
        Lines without a value are left out.

    Returns
    -------
    dict of int to Answer
        By line number; values as written, which `answer_value` reads.

    Raises
    ------
    InputError
        In one sentence with the line number, if a line cannot be used or
        nothing is answered.

    Examples
    --------
    >>> read_answers("what,value,unit\\nAB,12.5 T,kN")
    {2: Answer(what='AB', value='12.5 T', unit='kN')}
    """
    lines = text.lstrip("\ufeff").splitlines()
    top = next((number for number, line in enumerate(lines, 1) if line.strip()), None)
    if top is None:
        raise InputError("The answers are empty; write a line 'what,value,unit', then the values.")
    separator = max(",;\t", key=lines[top - 1].count)
    header = [name.strip().strip('"').lower() for name in lines[top - 1].split(separator)]
    if not {"what", "value"} <= set(header) <= _COLUMNS or len(set(header)) < len(header):
        raise InputError(
            f"Line {top} must name the columns, such as 'what,value,unit'; correct it."
        )
    answers: dict[int, Answer] = {}
    for number, line in enumerate(lines[top:], top + 1):
        answer = _answer(line, separator, header, number)
        if answer is not None:
            answers[number] = answer
    if not answers:
        raise InputError("The answers hold no value; write one a line, such as 'AB,12.5 T,kN'.")
    return answers


def answer_value(answer: Answer, unit: str, *, entry: str, member: bool) -> float:
    """Read an answer's value into `unit`, tension positive.

    Parameters
    ----------
    answer : Answer
        A number, or text with T or C behind it and perhaps a unit.
    unit : str
        Unit of force of the result, and of values without one.
    entry : str
        What the value belongs to, for the error's sentence.
    member : bool
        Whether it is a member's force; a reaction carries no T or C.

    Raises
    ------
    InputError
        If the value is not a force, or its sign contradicts its T or C.
    """
    text, sense = str(answer.value).strip(), ""
    if _TONNES_OR_TENSION.search(text):
        raise InputError(
            f"{entry}: the t of '{text}' may be tension or tonnes; write T, or put t in the unit"
            " column."
        )
    match = _SENSE.match(text)
    if match is not None:
        text, sense = match["rest"].strip(), match["sense"][0].upper()
    if sense and not member:
        raise InputError(f"{entry}: a reaction is not tension or compression; give it a sign.")
    own = (answer.unit or "").strip() or unit
    value = units.force(text, own, entry=entry)
    if own != unit:
        value = units.force(f"{value!r} {own}", unit, entry=entry)
    if sense == "T" and value < 0:
        raise InputError(f"{entry}: '{answer.value}' is a negative tension; write T or C alone.")
    return -abs(value) if sense == "C" else value


def _answer(line: str, separator: str, header: list[str], number: int) -> Answer | None:
    try:
        (cells,) = csv.reader([line], delimiter=separator, skipinitialspace=True, strict=True)
    except (csv.Error, ValueError) as error:
        if not line.strip():
            return None
        raise InputError(f"Line {number} is not CSV; check its quotation marks.") from error
    cells = [cell.strip() for cell in cells]
    if any(cells[len(header) :]):
        raise InputError(
            f"Line {number} has {len(cells)} entries for {len(header)} columns; write decimals"
            " with a point, or separate the columns by semicolons."
        )
    entries = dict(zip(header, cells, strict=False))
    what, value = entries.get("what", ""), entries.get("value", "")
    if value and not what:
        raise InputError(f"Line {number} names no member or reaction; write such as AB or Ax.")
    return Answer(what=what, value=value, unit=entries.get("unit") or None) if value else None
