"""The trees that storms laid down, as they came to the school."""

from dataclasses import dataclass


@dataclass(frozen=True)
class StormLog:
    """A log; days are counted back from today, and none means it was not done."""

    number: int
    species: str
    street: str
    felled_ago: int
    sawn_ago: int
    length_mm: int
    diameter_mm: int
    sealed_after: int | None = 1
    stood_as: str = "live"
    bark_off_ago: int | None = None
    insects: str | None = None
    metal: str | None = None
    decision: str | None = None
    note: str | None = None


LOGS = (
    StormLog(1, "black cherry", "Kettle Row 14", 716, 702, 2450, 380, insects="none seen"),
    StormLog(
        2,
        "black walnut",
        "Tansy Street, by the well",
        690,
        642,
        2600,
        610,
        bark_off_ago=642,
        metal="a screw eye 1.4 m from the butt, cut out",
        decision="slabs with both edges left on, for the library tables",
    ),
    StormLog(3, "white ash", "Quillon Road, tram loop", 590, 562, 2300, 420, 4, "standing dead"),
    StormLog(4, "white oak", "Ferrier's Green", 650, 624, 2200, 560, 1),
    StormLog(
        5,
        "American sycamore",
        "Lantern Steps",
        495,
        482,
        2500,
        540,
        decision="quarter it for figure",
    ),
    StormLog(6, "black cherry", "Kettle Row 31", 243, 232, 2350, 400, 2),
    StormLog(
        7,
        "white ash",
        "Pond Terrace",
        448,
        424,
        2400,
        410,
        insects="old beetle holes in the sapwood; edged off",
    ),
    StormLog(8, "white oak", "Ferrier's Green, the big one", 724, 692, 2600, 690, 1),
    StormLog(
        9,
        "white oak",
        "Ferrier's Green, the big one",
        724,
        334,
        2250,
        640,
        note="second log of the tree; lay on bearers for a year before it was sawn",
    ),
    StormLog(
        10,
        "sweetgum",
        "Old Brewery Lane",
        296,
        272,
        2400,
        450,
        None,
        note="two logs from one tree; ends not sealed, they checked 60 mm",
    ),
    StormLog(11, "sweetgum", "Old Brewery Lane 3", 92, 77, 2300, 390, 1),
    StormLog(
        12,
        "American sycamore",
        "Lantern Steps, lower",
        33,
        21,
        2550,
        580,
        0,
        metal="detector found nothing",
    ),
    StormLog(13, "black walnut", "Tansy Street, the limb", 280, 264, 2100, 340, 3),
)
