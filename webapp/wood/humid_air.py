"""Moist air: saturation pressure, and relative humidity from wet bulb or dew point."""

from __future__ import annotations

import numpy as np

from webapp.wood.arrays import ArrayLike, FloatArray, as_floats

STANDARD_PRESSURE_PA = 101325.0
"""Air pressure at sea level in the standard atmosphere, Pa."""

TRIPLE_POINT_C = 0.01
"""Above this temperature saturation is taken over water, below over ice, degC."""

WATER_TO_AIR = 0.621945
"""Ratio of the molar masses of water and dry air (ASHRAE Fundamentals 2017, ch. 1)."""

_ZERO_C_IN_KELVIN = 273.15

# ASHRAE Handbook of Fundamentals 2017, ch. 1, Eq. 5 (over ice, -100 to 0 degC) and Eq. 6 (over
# water, 0 to 200 degC), after Hyland and Wexler 1983: 1/T, 1, T, T^2, T^3, T^4, ln T.
_OVER_ICE = (
    -5.6745359e03,
    6.3925247,
    -9.677843e-03,
    6.2215701e-07,
    2.0747825e-09,
    -9.484024e-13,
    4.1635019,
)
_OVER_WATER = (
    -5.8002206e03,
    1.3914993,
    -4.8640239e-02,
    4.1764768e-05,
    -1.4452093e-08,
    0.0,
    6.5459673,
)

_NEWTON_STEPS = 12


def saturation_pressure_pa(temperature_c: ArrayLike) -> FloatArray:
    """Give the pressure of water vapour in saturated air, over water or, in frost, over ice.

    Parameters
    ----------
    temperature_c : array_like
        Temperature in degC, -100 to 200. Ice is taken below the triple point (0.01 degC).

    Returns
    -------
    ndarray
        Saturation vapour pressure in Pa; NaN where the input is NaN.

    Notes
    -----
    Weather stations and most hygrometers state humidity over (supercooled) water in frost as
    well: use `saturation_pressure_over_water_pa` with their relative humidity.

    References
    ----------
    .. [1] ASHRAE 2017, Handbook of Fundamentals (SI), ch. 1, Eq. 5 and 6, after Hyland and
       Wexler 1983.

    Examples
    --------
    >>> round(float(saturation_pressure_pa(20.0)))
    2339
    """
    temperature_c = as_floats(temperature_c)
    over_ice = _pressure(_OVER_ICE, temperature_c)
    over_water = _pressure(_OVER_WATER, temperature_c)
    return np.where(temperature_c <= TRIPLE_POINT_C, over_ice, over_water)


def saturation_pressure_over_water_pa(temperature_c: ArrayLike) -> FloatArray:
    """Give the saturation pressure over liquid water, supercooled below 0 degC.

    Parameters
    ----------
    temperature_c : array_like
        Temperature in degC, 0 to 200; carried on below 0, where it stays within 1 % of the WMO
        formula down to -40.

    Returns
    -------
    ndarray
        Saturation vapour pressure in Pa; NaN where the input is NaN.

    References
    ----------
    .. [1] ASHRAE 2017, Handbook of Fundamentals (SI), ch. 1, Eq. 6.
    .. [2] WMO-No. 8, Guide to Instruments and Methods of Observation, part I, ch. 4, annex 4.B
       (humidity is stated over water at all temperatures).
    """
    return _pressure(_OVER_WATER, as_floats(temperature_c))


def vapour_pressure_pa(temperature_c: ArrayLike, rh_pct: ArrayLike) -> FloatArray:
    """Give the pressure of the water vapour in air of a temperature and relative humidity.

    Parameters
    ----------
    temperature_c : array_like
        Air temperature in degC; range as in `saturation_pressure_pa`.
    rh_pct : array_like
        Relative humidity in percent, over ice below the triple point.

    Returns
    -------
    ndarray
        Vapour pressure in Pa; NaN where an input is NaN.

    References
    ----------
    .. [1] ASHRAE 2017, Handbook of Fundamentals (SI), ch. 1, Eq. 22.
    """
    return as_floats(rh_pct) / 100.0 * saturation_pressure_pa(temperature_c)


def rh_from_dew_point_pct(temperature_c: ArrayLike, dew_c: ArrayLike) -> FloatArray:
    """Give relative humidity from air temperature and dew (or frost) point.

    Parameters
    ----------
    temperature_c, dew_c : array_like
        Air temperature and dew point in degC; below the triple point both are taken over ice.

    Returns
    -------
    ndarray
        Relative humidity in percent; NaN where the dew point lies above the temperature, which
        cannot be, or an input is NaN.

    References
    ----------
    .. [1] ASHRAE 2017, Handbook of Fundamentals (SI), ch. 1, Eq. 36.
    """
    temperature_c, dew_c = as_floats(temperature_c), as_floats(dew_c)
    rh_pct = 100.0 * saturation_pressure_pa(dew_c) / saturation_pressure_pa(temperature_c)
    return np.where(dew_c <= temperature_c, rh_pct, np.nan)


def dew_point_c(temperature_c: ArrayLike, rh_pct: ArrayLike) -> FloatArray:
    """Give the dew (or frost) point of air: where it becomes saturated when cooled.

    Newton's rule on the logarithm of the saturation pressure, to better than 1e-6 degC.

    Parameters
    ----------
    temperature_c : array_like
        Air temperature in degC, -60 to 150.
    rh_pct : array_like
        Relative humidity in percent, above 0; values above 100 count as saturated.

    Returns
    -------
    ndarray
        Dew point in degC, never above the temperature; NaN for humidity of 0 or below.

    References
    ----------
    .. [1] ASHRAE 2017, Handbook of Fundamentals (SI), ch. 1, Eq. 5 and 6, solved for
       temperature.
    """
    temperature_c, rh_pct = np.broadcast_arrays(as_floats(temperature_c), as_floats(rh_pct))
    rh_pct = np.where(rh_pct > 0.0, np.minimum(rh_pct, 100.0), np.nan)
    vapour_pa = vapour_pressure_pa(temperature_c, rh_pct)
    over_ice = _temperature_of(_OVER_ICE, vapour_pa)
    over_water = _temperature_of(_OVER_WATER, vapour_pa)
    frost = vapour_pa <= saturation_pressure_pa(TRIPLE_POINT_C)
    dew_c = np.where(frost, over_ice, over_water)
    return np.where(dew_c > temperature_c, temperature_c, dew_c)


def rh_from_wet_bulb_pct(
    dry_c: ArrayLike, wet_c: ArrayLike, pressure_pa: ArrayLike = STANDARD_PRESSURE_PA
) -> FloatArray:
    """Give relative humidity from a dry and a wet thermometer in moving air.

    Parameters
    ----------
    dry_c, wet_c : array_like
        Dry-bulb and wet-bulb temperature in degC, -40 to 100. A wet bulb below the triple point
        is taken as iced. The wick must be wet, clean and in an air flow of some 3 m/s.
    pressure_pa : array_like, optional
        Air pressure in Pa; the standard sea-level pressure if not given. Half a kilometre of
        height changes the result by less than 1 % RH.

    Returns
    -------
    ndarray
        Relative humidity in percent, 0 to 100; NaN where the two temperatures cannot belong
        together (wet above dry, or too far below it) or an input is NaN.

    References
    ----------
    .. [1] ASHRAE 2017, Handbook of Fundamentals (SI), ch. 1, Eq. 20, 22, 33 and 35.

    Examples
    --------
    >>> round(float(rh_from_wet_bulb_pct(23.9, 18.9)))
    63
    """
    dry_c, wet_c, pressure_pa = as_floats(dry_c), as_floats(wet_c), as_floats(pressure_pa)
    at_wet_pa = saturation_pressure_pa(wet_c)
    saturated = WATER_TO_AIR * at_wet_pa / (pressure_pa - at_wet_pa)
    with_water = ((2501.0 - 2.326 * wet_c) * saturated - 1.006 * (dry_c - wet_c)) / (
        2501.0 + 1.86 * dry_c - 4.186 * wet_c
    )
    with_ice = ((2830.0 - 0.24 * wet_c) * saturated - 1.006 * (dry_c - wet_c)) / (
        2830.0 + 1.86 * dry_c - 2.1 * wet_c
    )
    humidity_ratio = np.where(wet_c >= 0.0, with_water, with_ice)
    vapour_pa = pressure_pa * humidity_ratio / (WATER_TO_AIR + humidity_ratio)
    rh_pct = 100.0 * vapour_pa / saturation_pressure_pa(dry_c)
    possible = (wet_c <= dry_c) & (rh_pct >= 0.0)
    return np.where(possible, np.minimum(rh_pct, 100.0), np.nan)


def _log_pressure(terms: tuple[float, ...], kelvin: FloatArray) -> FloatArray:
    inverse, constant, one, two, three, four, logarithm = terms
    polynomial = constant + kelvin * (one + kelvin * (two + kelvin * (three + kelvin * four)))
    return inverse / kelvin + polynomial + logarithm * np.log(kelvin)


def _pressure(terms: tuple[float, ...], temperature_c: FloatArray) -> FloatArray:
    return as_floats(np.exp(_log_pressure(terms, temperature_c + _ZERO_C_IN_KELVIN)))


def _temperature_of(terms: tuple[float, ...], vapour_pa: FloatArray) -> FloatArray:
    wanted: FloatArray = np.log(vapour_pa)
    kelvin: FloatArray = 1.0 / (1.0 / _ZERO_C_IN_KELVIN - (wanted - np.log(611.2)) / 5400.0)
    for _ in range(_NEWTON_STEPS):
        miss = _log_pressure(terms, kelvin) - wanted
        step = 1e-3
        slope = (_log_pressure(terms, kelvin + step) - _log_pressure(terms, kelvin)) / step
        kelvin = kelvin - miss / slope
    return kelvin - _ZERO_C_IN_KELVIN
