"""A person's own values beside the right ones, as lines to read."""

from __future__ import annotations

from model.errors import InputError
from model.job import Job
from model.result import CAUTION

__all__ = ["marks", "report"]


def report(job: Job, answers: str, name: str) -> tuple[str, bool]:
    """Judge the values of an answers file.

    Parameters
    ----------
    job : Job
    answers : str
        The file: CSV with the columns what, value, unit.
    name : str
        Its name, for errors.

    Returns
    -------
    tuple of str and bool
        One line for each value, the first joint that does not balance, how
        rounding is allowed for; and whether all values are right.

    Raises
    ------
    InputError
        If a value cannot be read, or the job cannot be solved.
    """
    from solver.answers import judge_answers
    from ui.solving import placed

    ready = placed(job)
    try:
        judged = judge_answers(ready, answers)
    except InputError as error:
        raise InputError(f"{name}: {error}") from error
    lines = [f"{verdict.kind:<16} {verdict.sentence}" for verdict in judged.verdicts]
    if judged.balance is not None:
        lines.append(judged.balance.sentence)
    lines += [judged.rounding, CAUTION]
    return "\n".join(lines), judged.all_right


def marks(job: Job) -> dict[str, dict[str, object]]:
    """Judge the answers saved in a job for marks on the picture.

    Parameters
    ----------
    job : Job
        Placed.

    Returns
    -------
    dict
        By member (its joints' names in order, ``A-B``) and by supported joint:
        whether all that was said of it is right, and a sentence. Empty when
        nothing was answered or nothing can be judged.
    """
    from model.job import truss_of
    from solver.answers import judge_answers

    if not job.answers:
        return {}
    try:
        judged = judge_answers(job)
        truss = truss_of(job)
    except InputError:
        return {}
    places = {
        truss.member_name(position): "-".join(sorted((member.a, member.b)))
        for position, member in enumerate(job.members)
    }
    places |= {f"{s.joint}{axis}": s.joint for s in job.supports for axis in "xy"}
    marked: dict[str, dict[str, object]] = {}
    for verdict in judged.verdicts:
        if verdict.kind == "missing":
            continue
        right, place = verdict.kind == "right", places[verdict.what]
        if place not in marked or not right:
            marked[place] = {"right": right, "said": verdict.sentence}
    return marked
