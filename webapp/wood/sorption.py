"""Equilibrium moisture content of wood from the air around it, and back."""

from __future__ import annotations

import numpy as np

from webapp.wood.arrays import ArrayLike, FloatArray, as_floats

COLDEST_C = -20.0
"""Lowest temperature the equation is asked at, degC: colder, the fitted quadratics bend the wrong
way, and near -36 K2 turns negative."""

HOTTEST_C = 120.0
"""Highest temperature the equation is asked at, degC; the printed table ends at 93.3."""

# Wood Handbook FPL-GTR-190 (2010) and FPL-GTR-282 (2021), Eq. 4-5, degC form:
# each parameter is a0 + a1 T + a2 T^2.
MOLECULAR_WEIGHT = (349.0, 1.29, 0.0135)
ACTIVITY = (0.805, 0.000736, -0.00000273)
FIRST_HYDRATE = (6.27, -0.00938, -0.000303)
SECOND_HYDRATE = (1.91, 0.0407, -0.000293)

_HALVINGS = 48


def equilibrium_moisture_pct(temperature_c: ArrayLike, rh_pct: ArrayLike) -> FloatArray:
    """Give the moisture content wood settles at in steady air.

    Hailwood and Horrobin's equation with two hydrates, as fitted by Simpson: with
    ``h = rh / 100`` and W, K, K1, K2 quadratic in temperature,
    ``EMC = 1800/W (K h / (1 - K h) + (K1 K h + 2 K1 K2 K^2 h^2) / (1 + K1 K h + K1 K2 K^2 h^2))``.

    Parameters
    ----------
    temperature_c : array_like
        Air temperature in degC. The printed table reaches from -1.1 to 93.3 degC; colder air is
        an extrapolation. Below -20 and above 120 degC the value at that end is kept.
    rh_pct : array_like
        Relative humidity in percent. Instruments overshoot, so values above 100 are taken as
        saturated air and values below 0 as dry air.

    Returns
    -------
    ndarray
        Equilibrium moisture content in percent of oven-dry mass; NaN where an input is NaN.

    Notes
    -----
    It agrees with the printed table within 0.1 % MC. At 0 degC and above 50 % RH the later power
    form (Eq. 4-6 of FPL-GTR-282) lies 1 to 2 % MC higher, so cold air is the weak spot. Wood that
    dries stands a little above this value and wood that takes up moisture a little below.

    References
    ----------
    .. [1] Forest Products Laboratory 2010, Wood Handbook, FPL-GTR-190, ch. 4, Eq. 4-5 and
       Table 4-2 (after Simpson 1971, 1973).
    .. [2] Forest Products Laboratory 2021, Wood Handbook, FPL-GTR-282, ch. 4, Eq. 4-5, 4-6.

    Examples
    --------
    >>> round(float(equilibrium_moisture_pct(21.1, 65.0)), 1)
    12.0
    """
    return _emc_of_fraction(_held(temperature_c), np.clip(as_floats(rh_pct), 0.0, 100.0) / 100.0)


def relative_humidity_pct(temperature_c: ArrayLike, moisture_pct: ArrayLike) -> FloatArray:
    """Give the relative humidity in which wood settles at a moisture content.

    The inverse of `equilibrium_moisture_pct`, by halving the interval 0 to 100 % RH.

    Parameters
    ----------
    temperature_c : array_like
        Air temperature in degC; range as in `equilibrium_moisture_pct`.
    moisture_pct : array_like
        Equilibrium moisture content in percent of oven-dry mass.

    Returns
    -------
    ndarray
        Relative humidity in percent, to better than 1e-9; NaN where no humidity gives that
        moisture content (below zero, or above the value in saturated air) or an input is NaN.

    References
    ----------
    .. [1] Forest Products Laboratory 2010, Wood Handbook, FPL-GTR-190, ch. 4, Eq. 4-5.
    """
    held, wanted = np.broadcast_arrays(_held(temperature_c), as_floats(moisture_pct))
    low = np.zeros(wanted.shape)
    high = np.ones(wanted.shape)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        too_dry = _emc_of_fraction(held, middle) < wanted
        low = np.where(too_dry, middle, low)
        high = np.where(too_dry, high, middle)
    possible = (wanted >= 0.0) & (wanted <= _emc_of_fraction(held, np.ones(wanted.shape)))
    return np.where(possible, 50.0 * (low + high), np.nan)


def _held(temperature_c: ArrayLike) -> FloatArray:
    return np.clip(as_floats(temperature_c), COLDEST_C, HOTTEST_C)


def _quadratic(terms: tuple[float, float, float], temperature_c: FloatArray) -> FloatArray:
    constant, linear, square = terms
    return constant + temperature_c * (linear + temperature_c * square)


def _emc_of_fraction(temperature_c: FloatArray, humidity: FloatArray) -> FloatArray:
    kh = _quadratic(ACTIVITY, temperature_c) * humidity
    first = _quadratic(FIRST_HYDRATE, temperature_c) * kh
    second = first * _quadratic(SECOND_HYDRATE, temperature_c) * kh
    dissolved = kh / (1.0 - kh)
    hydrated = (first + 2.0 * second) / (1.0 + first + second)
    return 1800.0 / _quadratic(MOLECULAR_WEIGHT, temperature_c) * (dissolved + hydrated)
