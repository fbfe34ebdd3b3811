"""The year's air where the wood lies, from the months written down for a place."""

from webapp.drying.arrays import Array
from webapp.records.place import AirOf
from webapp.wood.place_air import air_inside


def air_there(kind: str, air_of: str, temperature_c: Array, rh_pct: Array) -> tuple[Array, Array]:
    """Take months measured at the place as they are; turn a station's into those of its kind."""
    if air_of == AirOf.STATION:
        return air_inside(kind, temperature_c, rh_pct)
    return temperature_c, rh_pct
