"""The twelve Reedbank sketches: true geometry, how each is drawn, and how it is photographed."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from sample_sketches import pens
from sample_sketches.camera import View
from sample_sketches.figure import Measure, Note, Pull, Slope, Stand
from sample_sketches.hand import Manner
from sample_sketches.pens import Pen

__all__ = ["SCENES", "Scene"]

Point = tuple[float, float]


@dataclass(frozen=True)
class Scene:
    """One sample: a truss with true coordinates, and its picture.

    Attributes
    ----------
    name, title : str
        File name without its ending, and the job's title.
    seed : int
        Seed of everything uneven in the picture.
    surface : str
        A name in `surfaces.SURFACES`.
    pen : Pen
    joints : dict
        Joint name to true x, y (y up) in `length_unit`.
    members : str
        Pairs of joint letters, separated by spaces.
    origin, step : tuple of float
        Where (0, 0) lies on the sheet (mm), and mm for one unit of x and of y.
    tint : tuple of float, optional
        The sheet's colour.
    section : tuple of float, optional
        Area and modulus of every member, for a redundant truss.
    """

    name: str
    title: str
    seed: int
    surface: str
    pen: Pen
    joints: dict[str, Point]
    members: str
    stands: tuple[Stand, ...]
    pulls: tuple[Pull, ...]
    origin: Point
    step: Point
    measures: tuple[Measure, ...] = ()
    slopes: tuple[Slope, ...] = ()
    notes: tuple[Note, ...] = ()
    size: Point = (297.0, 210.0)
    tint: tuple[float, float, float] | None = None
    mark: str = "none"
    mark_radius: float = 1.3
    double: float = 0.0
    support_size: float = 9.0
    letter_height: float = 5.5
    load_pen: Pen | None = None
    note_pen: Pen | None = None
    manner: Manner = field(default_factory=Manner)
    view: View = field(default_factory=View)
    units: tuple[str, str] = ("m", "kN")
    section: tuple[float, float] | None = None
    sway: float = 1.2


def _marker(red: float, green: float, blue: float) -> Pen:
    return replace(pens.MARKER, colour=(red, green, blue))


_ROOF = Scene(
    name="boathouse_roof",
    title="Reedbank boathouse, roof truss over the big bay",
    seed=41,
    surface="plain",
    tint=(0.955, 0.930, 0.865),
    pen=replace(pens.FOUNTAIN, width=0.72),
    joints={
        "A": (0, 0), "B": (4, 0), "C": (8, 0), "D": (12, 0), "E": (16, 0),
        "F": (4, 3), "G": (8, 6), "H": (12, 3),
    },
    members="AB BC CD DE AF FG GH HE BF CG DH CF CH",
    stands=(Stand("A", "pin"), Stand("E", "roller")),
    pulls=(
        Pull("F", 0, -6, "6 kN", length=21),
        Pull("G", 0, -6, "6 kN", length=21),
        Pull("H", 0, -6, "6 kN", length=21),
    ),
    measures=(
        Measure("horizontal", "A", "B", "4 m", -24),
        Measure("horizontal", "B", "C", "4 m", -24),
        Measure("horizontal", "C", "D", "4 m", -24),
        Measure("horizontal", "D", "E", "4 m", -24),
        Measure("vertical", "E", "G", "6 m", -18),
    ),
    slopes=(Slope("A", "F", 4, 3, (0.42, 9.0)),),
    notes=(
        Note("Reedbank boathouse - roof", (26, 27), 7.0, 0.6, True),
        Note("4 equal bays, slope 3 in 4", (26, 40), 4.4, 0.4),
    ),
    origin=(42, 154),
    step=(13.4, 12.8),
    sway=0.7,
    load_pen=replace(pens.FOUNTAIN, colour=(0.55, 0.10, 0.12)),
    note_pen=replace(pens.FOUNTAIN, width=0.5),
    manner=Manner(bow=0.004, tremor=0.12, overshoot=0.8, slant=0.2, untidy=0.26),
    view=View(tilt=11, pan=-4, turn=2.2, margin=0.035, light=0.34, light_from=140, shadow=0.22,
              desk_colour=(0.46, 0.31, 0.20), warmth=0.045),
)  # fmt: skip

_FOOTBRIDGE = Scene(
    name="jetty_footbridge",
    title="Reedbank jetty footbridge",
    seed=57,
    surface="ruled",
    pen=pens.BALL,
    joints={
        "A": (0, 0), "B": (3, 0), "C": (6, 0), "D": (9, 0), "E": (12, 0),
        "F": (3, 4), "G": (6, 4), "H": (9, 4),
    },
    members="AB BC CD DE AF FG GH HE BF CG DH CF CH",
    stands=(Stand("A", "pin"), Stand("E", "roller")),
    pulls=(
        Pull("B", 0, -12, "12 kN", head=False, length=18),
        Pull("C", 0, -12, "12 kN", head=False, length=18),
        Pull("D", 0, -12, "12 kN", head=False, length=18),
    ),
    measures=(
        Measure("horizontal", "A", "B", "3 m", -36),
        Measure("horizontal", "B", "C", "3 m", -36),
        Measure("horizontal", "C", "D", "3 m", -36),
        Measure("horizontal", "D", "E", "3 m", -36),
        Measure("vertical", "E", "H", "4 m", -16),
    ),
    notes=(
        Note("Jetty footbridge", (34, 30), 7.0, 0.5, True),
        Note("find the force in every member", (34, 46), 4.6, 0.3),
    ),
    origin=(58, 138),
    step=(16.0, 15.4),
    mark="dot",
    mark_radius=1.1,
    manner=Manner(bow=0.006, tremor=0.17, overshoot=0.9, slant=0.1),
    view=View(tilt=16, pan=5, turn=-3.5, margin=0.01, light=0.45, light_from=60, shadow=0.3,
              desk="cloth", desk_colour=(0.30, 0.34, 0.36), warmth=0.02, curl=3.0),
)  # fmt: skip

_GANTRY = Scene(
    name="slipway_gantry",
    title="Reedbank slipway gantry with overhang",
    seed=63,
    surface="whiteboard",
    tint=(0.93, 0.94, 0.95),
    pen=pens.MARKER,
    joints={
        "A": (0, 0), "B": (6, 0), "C": (12, 0), "D": (18, 0),
        "E": (3, 4), "F": (9, 4), "G": (15, 4),
    },
    members="AB BC CD EF FG AE BE BF CF CG DG",
    stands=(Stand("A", "pin"), Stand("C", "roller")),
    pulls=(
        Pull("B", 0, -18, "18 kN", head=False, length=22),
        Pull("D", 0, -6, "6 kN", head=False, length=22),
    ),
    measures=(
        Measure("horizontal", "A", "B", "6 m", -36),
        Measure("horizontal", "B", "C", "6 m", -36),
        Measure("horizontal", "C", "D", "6 m", -36),
        Measure("vertical", "A", "E", "4 m", 14),
    ),
    notes=(
        Note("Slipway gantry", (30, 32), 10.0, 0.6),
        Note("boat hangs at D", (205, 46), 6.5, 0.8),
    ),
    origin=(52, 128),
    step=(11.4, 13.2),
    size=(310.0, 215.0),
    letter_height=7.5,
    support_size=11,
    load_pen=_marker(0.72, 0.10, 0.12),
    note_pen=_marker(0.08, 0.20, 0.58),
    manner=Manner(bow=0.007, tremor=0.24, overshoot=1.4, slant=0.05, untidy=0.3),
    view=View(tilt=-5, pan=9, turn=0.8, margin=-0.035, light=0.30, light_from=20, shadow=0.08,
              desk="wall", desk_colour=(0.70, 0.70, 0.68), warmth=-0.015, glare=0.16, curl=0.0,
              blur=0.9),
)  # fmt: skip

_MAST = Scene(
    name="signal_mast",
    title="Reedbank signal mast in the wind",
    seed=72,
    surface="chalk board",
    tint=(0.13, 0.23, 0.185),
    pen=pens.CHALK,
    joints={
        "A": (0, 0), "B": (3, 0), "C": (0, 4), "D": (3, 4), "E": (0, 8), "F": (3, 8),
        "G": (1.5, 10),
    },
    members="AB AC BD AD CD CE DF CF EF EG FG",
    stands=(Stand("A", "pin"), Stand("B", "roller")),
    pulls=(
        Pull("G", 3, 0, "3 kN", length=30),
        Pull("E", 6, 0, "6 kN", length=30),
    ),
    measures=(
        Measure("horizontal", "A", "B", "3 m", -30),
        Measure("vertical", "B", "D", "4 m", -22),
        Measure("vertical", "D", "F", "4 m", -22),
        Measure("vertical", "F", "G", "2 m", -22),
    ),
    notes=(
        Note("signal mast", (18, 32), 10.0, 1.0, True),
        Note("wind from", (20, 140), 7.5, 0.6),
        Note("the west", (20, 155), 7.5, 0.6),
    ),
    origin=(128, 222),
    step=(17.5, 17.2),
    size=(240.0, 290.0),
    letter_height=9.0,
    support_size=13,
    load_pen=replace(pens.CHALK, colour=(0.93, 0.78, 0.45)),
    manner=Manner(bow=0.007, tremor=0.28, overshoot=1.6, slant=0.08, untidy=0.3),
    view=View(width=1380, height=1800, tilt=-7, pan=-6, turn=-0.8, margin=-0.03, light=0.42,
              light_from=150, shadow=0.1, desk="wall", desk_colour=(0.45, 0.36, 0.26),
              warmth=0.03, curl=0.0, noise=0.016, blur=0.9),
)  # fmt: skip

_RACK = Scene(
    name="canoe_rack",
    title="Reedbank canoe rack, end frame (the crossing is not a joint)",
    seed=84,
    surface="squared",
    pen=pens.PENCIL,
    joints={"A": (0, 0), "B": (4, 0), "C": (0, 3), "D": (4, 3), "E": (0, 6), "F": (4, 6)},
    members="AC BD AD BC CD CE DF CF EF",
    stands=(Stand("A", "pin"), Stand("B", "roller", style="wheel")),
    pulls=(
        Pull("E", 0, -2, "2 kN", length=20),
        Pull("F", 0, -2, "2 kN", length=20),
        Pull("C", 3, 0, "3 kN", length=20),
    ),
    measures=(
        Measure("horizontal", "A", "B", "4 m", -26),
        Measure("vertical", "B", "D", "3 m", -18),
        Measure("vertical", "D", "F", "3 m", -18),
    ),
    notes=(
        Note("canoe rack - end frame", (24, 28), 6.5, 0.4, True),
        Note("braces only", (22, 174), 4.6, 3.0),
        Note("cross, no joint", (22, 182), 4.6, 2.0),
    ),
    origin=(70, 216),
    step=(20.0, 19.2),
    size=(210.0, 270.0),
    manner=Manner(bow=0.005, tremor=0.15, overshoot=1.1, slant=0.1),
    view=View(width=1380, height=1760, tilt=9, pan=4, turn=3.0, margin=0.01, light=0.40,
              light_from=200, shadow=0.3, desk="wood", desk_colour=(0.62, 0.48, 0.34),
              warmth=0.06),
)  # fmt: skip

_LOFT = Scene(
    name="oar_loft",
    title="Reedbank oar loft, roof truss with three loads",
    seed=95,
    surface="dotted",
    tint=(0.955, 0.945, 0.915),
    pen=pens.GEL,
    joints={
        "A": (0, 0), "B": (4, 0), "C": (8, 0), "D": (12, 0),
        "E": (3, 2.25), "F": (6, 4.5), "G": (9, 2.25),
    },
    members="AB BC CD AE EF FG GD BE BF CF CG",
    stands=(Stand("A", "pin"), Stand("D", "roller")),
    pulls=(
        Pull("E", 0, -4, "4 kN", length=18),
        Pull("F", 0, -8, "8 kN", length=18),
        Pull("G", 0, -4, "4 kN", length=18),
    ),
    measures=(
        Measure("horizontal", "A", "B", "4 m", -28),
        Measure("horizontal", "B", "C", "4 m", -28),
        Measure("horizontal", "C", "D", "4 m", -28),
    ),
    slopes=(Slope("A", "E", 4, 3, (0.36, 9.0)),),
    notes=(
        Note("oar loft", (24, 26), 7.0, 0.0, True),
        Note("E and G halfway up", (190, 30), 4.6, 1.0),
    ),
    origin=(54, 146),
    step=(16.2, 17.0),
    mark="open",
    mark_radius=1.9,
    manner=Manner(bow=0.004, tremor=0.12, overshoot=0.6, slant=0.05, untidy=0.28),
    view=View(tilt=7, pan=-7, turn=-2.0, margin=0.03, light=0.28, light_from=100, shadow=0.2,
              desk="stone", desk_colour=(0.34, 0.34, 0.35), warmth=-0.01),
)  # fmt: skip

_BEAM = Scene(
    name="winch_beam",
    title="Reedbank winch beam, drawn with double lines",
    seed=107,
    surface="plain",
    tint=(0.95, 0.95, 0.94),
    pen=replace(pens.PENCIL, width=0.5),
    joints={
        "A": (0, 0), "B": (1.5, 0), "C": (3, 0), "D": (4.5, 0), "E": (6, 0),
        "F": (0, 2), "G": (1.5, 2), "H": (3, 2), "J": (4.5, 2), "K": (6, 2),
    },
    members="AB BC CD DE FG GH HJ JK AF BG CH DJ EK AG GC CJ JE",
    stands=(Stand("A", "pin"), Stand("E", "roller")),
    pulls=(
        Pull("H", 0, -24, "24 kN", length=20),
        Pull("G", 0, -8, "8 kN", length=20),
        Pull("J", 0, -8, "8 kN", length=20),
    ),
    measures=(
        Measure("horizontal", "A", "B", "1.5 m", -27),
        Measure("horizontal", "B", "C", "1.5 m", -27),
        Measure("horizontal", "C", "D", "1.5 m", -27),
        Measure("horizontal", "D", "E", "1.5 m", -27),
        Measure("vertical", "E", "K", "2 m", -17),
    ),
    notes=(Note("Winch beam, channel pairs", (28, 30), 6.4, 0.3, True),),
    origin=(50, 142),
    step=(31.5, 29.0),
    double=2.6,
    manner=Manner(bow=0.004, tremor=0.14, overshoot=1.0, slant=0.15),
    view=View(tilt=12, pan=3, turn=1.6, margin=0.03, light=0.40, light_from=45, shadow=0.28,
              desk="wood", desk_colour=(0.36, 0.25, 0.17), warmth=0.05),
)  # fmt: skip

_CRANE = Scene(
    name="launch_crane",
    title="Reedbank launch crane",
    seed=113,
    surface="coloured",
    tint=(0.76, 0.86, 0.92),
    pen=pens.FELT,
    joints={
        "A": (0, 0), "B": (3, 0), "C": (0, 4), "D": (3, 4), "E": (6, 4), "F": (3, 8), "G": (9, 8),
    },
    members="AB AC BD AD CD CF DF DE EF EG FG",
    stands=(Stand("A", "pin"), Stand("B", "roller")),
    pulls=(Pull("G", 0, -10, "10 kN", head=False, length=24),),
    measures=(
        Measure("horizontal", "A", "B", "3 m", -27),
        Measure("vertical", "A", "C", "4 m", 17),
        Measure("vertical", "C", "F", "4 m", 17),
        Measure("horizontal", "F", "G", "6 m", 13),
    ),
    notes=(
        Note("launch crane", (122, 206), 8.0, 1.0, True),
        Note("DE = 3 m", (122, 224), 6.0, 1.0),
    ),
    origin=(54, 214),
    step=(15.2, 18.0),
    size=(225.0, 265.0),
    letter_height=6.6,
    support_size=10,
    manner=Manner(bow=0.006, tremor=0.2, overshoot=1.2, slant=0.1, untidy=0.3),
    view=View(width=1500, height=1760, tilt=10, pan=-5, turn=-2.4, margin=0.03, light=0.36,
              light_from=160, shadow=0.24, desk="wood", desk_colour=(0.55, 0.42, 0.30),
              warmth=0.04),
)  # fmt: skip

_CHANNEL = Scene(
    name="reed_channel_bridge",
    title="Reed channel bridge, bowed top chord",
    seed=128,
    surface="crumpled",
    tint=(0.93, 0.92, 0.885),
    pen=replace(pens.BALL, colour=(0.09, 0.09, 0.12), width=0.55),
    joints={
        "A": (0, 0), "B": (4, 0), "C": (8, 0), "D": (12, 0), "E": (16, 0),
        "F": (4, 3), "G": (8, 4), "H": (12, 3),
    },
    members="AB BC CD DE AF FG GH HE BF CG DH CF CH",
    stands=(Stand("A", "pin"), Stand("E", "roller", style="wheel")),
    pulls=(
        Pull("C", 0, -20, "20 kN", head=False, length=20),
        Pull("F", 6, -8, "10 kN", length=24),
    ),
    measures=(
        Measure("horizontal", "A", "B", "4 m", -30),
        Measure("horizontal", "B", "C", "4 m", -30),
        Measure("horizontal", "C", "D", "4 m", -30),
        Measure("horizontal", "D", "E", "4 m", -30),
        Measure("vertical", "B", "F", "3 m", 3, plain=True),
        Measure("vertical", "C", "G", "4 m", 3, plain=True),
        Measure("vertical", "D", "H", "3 m", 3, plain=True),
    ),
    notes=(
        Note("Reed channel bridge", (34, 34), 6.8, 1.4, True),
        Note("10 kN pulls 3 across, 4 down", (160, 40), 4.4, 0.8),
    ),
    origin=(44, 140),
    step=(13.0, 14.2),
    mark="dot",
    mark_radius=1.1,
    manner=Manner(bow=0.007, tremor=0.22, overshoot=1.2, slant=0.16, untidy=0.36),
    view=View(tilt=14, pan=-6, turn=4.0, margin=0.02, light=0.44, light_from=110, shadow=0.28,
              desk="stone", desk_colour=(0.42, 0.41, 0.39), warmth=0.02, curl=4.0),
)  # fmt: skip

_TRESTLE = Scene(
    name="slip_bank_trestle",
    title="Slip bank trestle, one end on a sloping bank",
    seed=136,
    surface="squared",
    tint=(0.90, 0.94, 0.86),
    pen=replace(pens.BALL, colour=(0.07, 0.12, 0.42)),
    joints={"A": (0, 0), "B": (4, 0), "C": (8, 0), "D": (12, 0), "E": (4, 3), "F": (8, 3)},
    members="AB BC CD AE EF FD BE CF CE",
    stands=(Stand("A", "pin"), Stand("D", "roller", 126.86989764584402)),
    pulls=(
        Pull("E", 0, -12, "12 kN", length=20),
        Pull("F", 0, -12, "12 kN", length=20),
    ),
    measures=(
        Measure("horizontal", "A", "B", "4 m", -28),
        Measure("horizontal", "B", "C", "4 m", -28),
        Measure("horizontal", "C", "D", "4 m", -28),
        Measure("vertical", "A", "E", "3 m", 12),
    ),
    notes=(
        Note("Trestle on the slip bank", (26, 28), 6.6, 0.5, True),
        Note("roller at D stands", (204, 196), 4.4, 1.0),
        Note("on the bank, 4 up in 3", (204, 204), 4.4, 1.0),
    ),
    origin=(52, 142),
    step=(15.4, 16.4),
    mark="open",
    mark_radius=1.6,
    manner=Manner(bow=0.005, tremor=0.16, overshoot=0.8, slant=0.14),
    view=View(tilt=13, pan=6, turn=2.6, margin=0.03, light=0.40, light_from=70, shadow=0.26,
              desk="cloth", desk_colour=(0.42, 0.24, 0.22), warmth=0.03, curl=2.5),
)  # fmt: skip

_DAVIT = Scene(
    name="davit_bracket",
    title="Davit bracket on the boathouse wall (more members than needed: wants E and A)",
    seed=149,
    surface="kraft",
    pen=replace(pens.FELT, colour=(0.06, 0.06, 0.07)),
    joints={"A": (0, 0), "B": (0, 3), "C": (4, 3), "D": (4, 0), "E": (8, 3)},
    members="BC CE AD CD DE AC BD",
    stands=(Stand("A", "pin", 0.0), Stand("B", "pin", 0.0)),
    pulls=(Pull("E", 0, -15, "15 kN", head=False, length=26),),
    measures=(
        Measure("horizontal", "A", "D", "4 m", -17),
        Measure("vertical", "A", "B", "3 m", 28),
        Measure("horizontal", "C", "E", "4 m", 15),
    ),
    notes=(
        Note("davit bracket", (96, 34), 8.0, 0.8, True),
        Note("E = 200 GPa", (196, 168), 5.6, 0.6),
        Note("A = 12 cm2 each", (196, 180), 5.6, 0.6),
    ),
    origin=(72, 140),
    step=(22.0, 21.0),
    letter_height=6.8,
    support_size=10,
    manner=Manner(bow=0.006, tremor=0.2, overshoot=1.2, slant=0.1, untidy=0.3),
    section=(0.0012, 2.0e8),
    view=View(tilt=12, pan=-6, turn=-3.0, margin=0.03, light=0.40, light_from=135, shadow=0.25,
              desk="wood", desk_colour=(0.30, 0.23, 0.18), warmth=0.05),
)  # fmt: skip

_SWAY = Scene(
    name="why_it_sways",
    title="Lesson: why the pontoon frame sways (a diagonal is missing)",
    seed=156,
    surface="legal pad",
    pen=replace(pens.BALL, colour=(0.08, 0.10, 0.30), width=0.55),
    joints={
        "A": (0, 0), "B": (3, 0), "C": (6, 0), "D": (9, 0),
        "E": (0, 4), "F": (3, 4), "G": (6, 4), "H": (9, 4),
    },
    members="AB BC CD EF FG GH AE BF CG DH AF CH",
    stands=(Stand("A", "pin"), Stand("D", "roller")),
    pulls=(Pull("F", 0, -10, "10 kN", length=20), Pull("E", 4, 0, "4 kN", length=20)),
    measures=(
        Measure("horizontal", "A", "B", "3 m", -27),
        Measure("horizontal", "B", "C", "3 m", -27),
        Measure("horizontal", "C", "D", "3 m", -27),
        Measure("vertical", "D", "H", "4 m", -16),
    ),
    notes=(
        Note("Lesson: why does it sway?", (36, 31), 6.6, 0.5, True),
        Note("count m + r and 2j", (36, 200), 4.8, 0.5),
    ),
    origin=(70, 146),
    step=(19.0, 16.5),
    manner=Manner(bow=0.006, tremor=0.18, overshoot=1.0, slant=0.12),
    view=View(tilt=12, pan=5, turn=-2.2, margin=0.02, light=0.40, light_from=120, shadow=0.3,
              desk="wood", desk_colour=(0.58, 0.44, 0.31), warmth=0.04, curl=3.0),
)  # fmt: skip

#: In the order in which they are offered; the app opens with the first.
SCENES: tuple[Scene, ...] = (
    _ROOF, _FOOTBRIDGE, _GANTRY, _MAST, _RACK, _LOFT,
    _BEAM, _CRANE, _CHANNEL, _TRESTLE, _DAVIT, _SWAY,
)  # fmt: skip
