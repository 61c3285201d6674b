"""A job whose picture was sideways: the picture turned upright, and all that lies in it along."""

from __future__ import annotations

from model import units
from model.errors import InputError
from model.job import Dimension, Job, JobJoint, JobLoad, JobSupport, Typed

__all__ = ["quarter_turned", "turned_direction", "turned_pixel"]

#: What a dimension becomes when what was level is plumb.
_KINDS = {
    "horizontal": "vertical",
    "vertical": "horizontal",
    "level": "plumb",
    "plumb": "level",
    "x": "y",
    "y": "x",
}
_AXES = {"plumb": "level", "": "level", "level": "plumb"}


def quarter_turned(job: Job, height: float) -> Job:
    """Turn a job with its picture by a quarter, clockwise as seen.

    What pointed to the right in the picture points down, so that loads, supports,
    coordinates and dimensions keep their places on the drawing; member forces stay.

    Parameters
    ----------
    job : Job
    height : float
        Of the picture before it is turned, in pixels.
    """
    picture = job.picture and job.picture.model_copy(update={"turn": (job.picture.turn + 90) % 360})
    return job.model_copy(
        update={
            "picture": picture,
            "joints": {name: _joint(joint, height) for name, joint in job.joints.items()},
            "supports": [_support(support) for support in job.supports],
            "loads": [_load(load) for load in job.loads],
            "dimensions": [_dimension(dimension) for dimension in job.dimensions],
        }
    )


def turned_pixel(pixel: tuple[float, float], height: float) -> tuple[float, float]:
    """Where a point of a picture is after a quarter turn, clockwise."""
    return height - pixel[1], pixel[0]


def turned_direction(degrees: float) -> float:
    """Direction, anticlockwise as seen, after a quarter turn, clockwise."""
    return (degrees - 90.0) % 360.0


def _joint(joint: JobJoint, height: float) -> JobJoint:
    return JobJoint(
        x=joint.y,
        y=None if joint.x is None else -joint.x,
        pixel=joint.pixel and turned_pixel(joint.pixel, height),
    )


def _support(support: JobSupport) -> JobSupport:
    x, y = support.settlement
    return support.model_copy(
        update={"angle_deg": turned_direction(support.angle_deg), "settlement": (y, -x)}
    )


def _load(load: JobLoad) -> JobLoad:
    degrees, slope = load.direction_deg, load.slope
    return load.model_copy(
        update={
            "fx": load.fy,
            "fy": _opposite(load.fx),
            "direction_deg": None if degrees is None else turned_direction(degrees),
            "slope": slope and (slope[1], -slope[0]),
        }
    )


def _dimension(dimension: Dimension) -> Dimension:
    value = dimension.value
    try:
        match dimension.kind:
            case "x" if value is not None:
                value = _opposite(value)
            case "angle" if value is not None:
                degrees = units.angle(value, entry="angle")
                from_level = 0 <= degrees <= 90
                value = f"{90 - degrees if from_level else turned_direction(degrees):g}°"
            case "slope" if value is not None:
                run, rise = units.slope(str(value), entry="slope")
                value = f"{rise:g}:{run:g}"
            case "symmetric":
                value = _AXES.get(str(value or "").strip(), value)
    except InputError:
        pass  # it cannot be read yet: the person is told where it is used
    kind = _KINDS.get(dimension.kind, dimension.kind)
    return dimension.model_copy(update={"kind": kind, "value": value})


def _opposite(value: Typed) -> Typed:
    """Give a typed value with the other sign, in the person's own writing."""
    if not isinstance(value, str):
        return -value if value else value
    written = value.strip()
    return written[1:].strip() if written[:1] in ("-", "−") else f"-{written.removeprefix('+')}"
