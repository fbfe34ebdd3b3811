"""The stacks of the invented yard and what befell them; days are counted back from today."""

from dataclasses import dataclass

from seed_demo.meters import NEW_PINS, OLD_PINS
from seed_demo.places import CELLAR, LOFT, SHED, STORE


@dataclass(frozen=True)
class Trouble:
    """What goes wrong: little air, or water dripping on the first so many boards."""

    since_ago: int
    airflow: float = 1.0
    wet_boards: int = 0
    drip_pct: float = 0.0


@dataclass(frozen=True)
class Story:
    """One stack from its stacking until today.

    ``start_pct`` is the moisture when stacked, if it was not green; ``read_ago`` the last round,
    ``every_days`` the days between rounds, ``samples`` how many boards are read (else all).
    """

    mark: str
    name: str
    species: str
    thickness_mm: float
    boards: int
    place: str
    stacked_ago: int
    read_ago: int
    logs: tuple[int, ...] = ()
    moved_to: str | None = None
    moved_ago: int = 0
    trouble: Trouble | None = None
    start_pct: float | None = None
    every_days: int = 30
    rounds: int | None = None
    meter: str = NEW_PINS
    hits: int = 1
    spot: str = "face"
    grain: str = "flat"
    live_edge: bool = False
    counted: int | None = None
    stickers_mm: int = 20
    kept_as: str = "on stickers"
    held_by: str | None = None
    target_pct: float | None = None
    use: str | None = None
    note: str | None = None


STORIES = (
    Story(
        "A",
        "Kettle Row cherry, inch",
        "black cherry",
        28,
        9,
        SHED,
        700,
        9,
        logs=(1,),
        moved_to=LOFT,
        moved_ago=300,
        use="boxes and clock cases",
        held_by="two straps",
    ),
    Story(
        "B",
        "Tram loop ash",
        "white ash",
        28,
        10,
        SHED,
        560,
        6,
        logs=(3,),
        meter=OLD_PINS,
        target_pct=17,
        use="garden benches, outdoors",
    ),
    Story(
        "C",
        "Quartered sycamore",
        "American sycamore",
        34,
        8,
        SHED,
        480,
        4,
        logs=(5,),
        moved_to=STORE,
        moved_ago=62,
        every_days=21,
        grain="quarter",
        hits=3,
        target_pct=9,
        use="toy chest for the kindergarten",
    ),
    Story(
        "D",
        "Big oak for bench legs",
        "white oak",
        76,
        7,
        SHED,
        690,
        11,
        logs=(8,),
        spot="nails",
        stickers_mm=25,
        held_by="concrete blocks on top",
        use="workbench legs",
        note="North end of the shed, nearest the drive.",
    ),
    Story(
        "E",
        "Walnut slabs from Tansy Street",
        "black walnut",
        60,
        6,
        SHED,
        640,
        13,
        logs=(2,),
        every_days=34,
        spot="nails",
        grain="mixed",
        live_edge=True,
        stickers_mm=25,
        held_by="ratchet straps, tightened each term",
        target_pct=9,
        use="library table tops",
        note="Bark off, edges left on. The pith is boxed in the third slab.",
    ),
    Story(
        "F",
        "Sweetgum, Brewery Lane 3",
        "sweetgum",
        28,
        8,
        SHED,
        76,
        3,
        logs=(11,),
        every_days=17,
        stickers_mm=25,
        held_by="concrete blocks on top: sweetgum twists",
        use="drawer sides",
    ),
    Story(
        "G",
        "Oak slabs for bench tops",
        "white oak",
        65,
        5,
        LOFT,
        332,
        17,
        logs=(9,),
        every_days=35,
        spot="nails",
        stickers_mm=25,
        target_pct=15,
        use="bench tops",
    ),
    Story(
        "H",
        "Lantern Steps sycamore",
        "American sycamore",
        40,
        8,
        SHED,
        20,
        5,
        logs=(12,),
        every_days=8,
        stickers_mm=25,
        use="not decided",
        note="Stacked the day after sawing, so that the sticks do not mark it.",
    ),
    Story(
        "J",
        "Pond Terrace ash",
        "white ash",
        34,
        9,
        LOFT,
        420,
        4,
        logs=(7,),
        every_days=18,
        trouble=Trouble(50, wet_boards=9, drip_pct=0.3),
        use="tool handles",
        target_pct=13,
    ),
    Story(
        "K",
        "Sweetgum, the long row",
        "sweetgum",
        34,
        5,
        SHED,
        270,
        20,
        logs=(10,),
        meter=OLD_PINS,
        counted=60,
        spot="nails",
        use="frames, panels, practice wood",
        note="About 60 boards; the five marked ones stick out at the end and are read.",
    ),
    Story(
        "L",
        "Ferrier's Green oak",
        "white oak",
        72,
        7,
        SHED,
        622,
        8,
        logs=(4,),
        moved_to=CELLAR,
        moved_ago=41,
        every_days=28,
        use="stair treads for the workshop",
        note="The cellar is dry only while the boiler runs.",
    ),
    Story(
        "M",
        "Kettle Row cherry, store",
        "black cherry",
        34,
        8,
        SHED,
        230,
        2,
        logs=(6,),
        moved_to=STORE,
        moved_ago=156,
        every_days=21,
        trouble=Trouble(110, airflow=0.02),
        target_pct=9,
        use="music stands",
        note="Covered with sheeting against dust when the store was painted.",
    ),
    Story(
        "N",
        "Walnut behind the lathe",
        "black walnut",
        28,
        7,
        LOFT,
        262,
        10,
        logs=(13,),
        rounds=1,
        use="not decided",
        note="Stacked by the last form and forgotten; read for the first time this month.",
    ),
)

# Boards that left the yard's stacks: how many days ago, and why.
LEFT = {"A9": (96, "made into a clock case"), "B10": (41, "given to the allotments")}
