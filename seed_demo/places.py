"""The four places of the invented yard."""

from dataclasses import dataclass

SHED, LOFT, STORE, CELLAR = "Open shed", "Loft", "Heated store", "Boiler cellar"


@dataclass(frozen=True)
class InventedPlace:
    """A place with the mean air of its months; a station's air is that outdoors."""

    name: str
    kind: str
    air_of: str
    temperature_c: tuple[float, ...]
    rh_pct: tuple[float, ...]


# A temperate climate with cold winters and warm, fairly damp summers.
OUTDOORS_C = (-1.0, 0.5, 5.0, 11.0, 16.5, 21.0, 23.5, 22.5, 18.5, 12.5, 6.5, 1.0)
OUTDOORS_RH_PCT = (77.0, 74.0, 69.0, 65.0, 67.0, 68.0, 69.0, 71.0, 73.0, 73.0, 76.0, 79.0)

PLACES = (
    InventedPlace(SHED, "open_shed", "station", OUTDOORS_C, OUTDOORS_RH_PCT),
    InventedPlace(LOFT, "unheated", "station", OUTDOORS_C, OUTDOORS_RH_PCT),
    InventedPlace(
        STORE,
        "heated",
        "place",
        (19.5, 19.5, 20.0, 20.0, 21.0, 23.0, 24.5, 24.0, 22.0, 20.5, 20.0, 19.5),
        (34.0, 34.0, 36.0, 40.0, 46.0, 51.0, 53.0, 53.0, 49.0, 43.0, 38.0, 35.0),
    ),
    # Warm and dry while the boiler runs, cool and damp while it rests in summer.
    InventedPlace(
        CELLAR,
        "heated",
        "place",
        (22.0, 22.0, 19.5, 13.0, 12.5, 13.5, 15.0, 15.5, 15.0, 16.5, 21.0, 22.0),
        (38.0, 38.0, 45.0, 75.0, 83.0, 85.0, 85.0, 85.0, 81.0, 64.0, 42.0, 38.0),
    ),
)
