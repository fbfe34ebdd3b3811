"""From the air at a weather station to the air where wood stands."""

from __future__ import annotations

import numpy as np

from webapp.wood.arrays import ArrayLike, FloatArray, spread_together
from webapp.wood.humid_air import saturation_pressure_over_water_pa

KINDS = ("open_shed", "outdoors", "unheated", "heated", "chamber")
"""Kinds of place, from the airiest to the most closed."""

ROOM_C = 20.0
"""Assumption: a heated room is kept at this temperature, degC, unless it is hotter outdoors."""

SHUT_IN_C = 1.0
"""Assumption: sun on roof and walls keeps an unheated building this much above outdoors, degC."""

KEPT_FROM_LAST_MONTH = 0.25
"""Assumption: share of last month's air still felt in an unheated building (some ten days)."""


def air_inside(
    kind: str, temperature_c: ArrayLike, rh_pct: ArrayLike
) -> tuple[FloatArray, FloatArray]:
    """Turn twelve monthly means at a weather station into those at a place of some kind.

    Open shed and outdoors under a sheet: the outdoor air. Unheated building: outdoor air, a
    degree warmer and smoothed by what floor, walls and wood hold of the month before. Heated
    room: the outdoor vapour pressure at room temperature, never colder than outdoors, which is
    why such rooms are dry in winter. Drying chamber: as typed.

    Parameters
    ----------
    kind : str
        One of `KINDS`.
    temperature_c, rh_pct : array_like
        Means of the twelve months, January first, in degC and percent relative humidity. Stations
        state humidity over water, in frost as well.

    Returns
    -------
    temperature_c, rh_pct : ndarray
        Means of the twelve months at the place, degC and percent (0 to 100).

    Raises
    ------
    ValueError
        The kind is not known, or there are not twelve months.

    Notes
    -----
    Monthly means only. Sun, damp ground, shelter, a crowd of wet boards or an air conditioner
    shift a place by one or two points of equilibrium moisture; a hygrometer at the place, or a
    witness board, tells more than any rule. The constants are assumptions, named above. With the
    heated rule the yearly mean comes out near the recommended averages for interiors of the
    Wood Handbook: 8 % in most of the USA, 6 % in the dry Southwest.

    References
    ----------
    .. [1] WMO-No. 8, Guide to Instruments and Methods of Observation, part I, ch. 4, annex 4.B
       (humidity over water at all temperatures).
    .. [2] Forest Products Laboratory 2010, Wood Handbook, FPL-GTR-190, ch. 13, Fig. 13-1 (the
       recommended averages, quoted second-hand).
    """
    outdoors_c, outdoors_pct = spread_together((temperature_c, rh_pct))
    if outdoors_c.shape != (12,):
        message = "a yearly course needs twelve monthly means"
        raise ValueError(message)
    if kind == "heated":
        return _heated(outdoors_c, outdoors_pct)
    if kind == "unheated":
        return _unheated(outdoors_c, outdoors_pct)
    if kind in KINDS:
        return outdoors_c.copy(), outdoors_pct.copy()
    message = f"no kind of place is called {kind!r}: {', '.join(KINDS)}"
    raise ValueError(message)


def _heated(outdoors_c: FloatArray, outdoors_pct: FloatArray) -> tuple[FloatArray, FloatArray]:
    room_c = np.maximum(outdoors_c, ROOM_C)
    vapour_pa = outdoors_pct / 100.0 * saturation_pressure_over_water_pa(outdoors_c)
    return room_c, _humidity_pct(room_c, vapour_pa)


def _unheated(outdoors_c: FloatArray, outdoors_pct: FloatArray) -> tuple[FloatArray, FloatArray]:
    vapour_pa = outdoors_pct / 100.0 * saturation_pressure_over_water_pa(outdoors_c)
    inside_c = _smoothed(outdoors_c) + SHUT_IN_C
    return inside_c, _humidity_pct(inside_c, _smoothed(vapour_pa))


def _smoothed(monthly: FloatArray) -> FloatArray:
    last_month = np.roll(monthly, 1)
    return (1.0 - KEPT_FROM_LAST_MONTH) * monthly + KEPT_FROM_LAST_MONTH * last_month


def _humidity_pct(temperature_c: FloatArray, vapour_pa: FloatArray) -> FloatArray:
    rh_pct = 100.0 * vapour_pa / saturation_pressure_over_water_pa(temperature_c)
    return np.clip(rh_pct, 0.0, 100.0)
