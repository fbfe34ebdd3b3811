"""Moisture content from weights, weights from moisture content."""

from __future__ import annotations

import numpy as np

from webapp.wood.arrays import ArrayLike, FloatArray, as_floats

FIBRE_SATURATION_PCT = 30.0
"""Conventional moisture content below which wood shrinks (FPL-GTR-282, ch. 4, Eq. 4-9)."""

CELL_WALL_GRAVITY = 1.54
"""Specific gravity of the cell wall used for the maximum moisture content (FPL-GTR-282, ch. 4)."""

WATER_KG_M3 = 1000.0
"""Density of water, kg/m3 (FPL-GTR-282, ch. 4, Eq. 4-14)."""


def moisture_pct(wet_g: ArrayLike, dry_g: ArrayLike) -> FloatArray:
    """Give moisture content from the mass before and after oven drying.

    Parameters
    ----------
    wet_g, dry_g : array_like
        Mass as found and oven-dry, both in g (or any one unit), above zero.

    Returns
    -------
    ndarray
        Moisture content in percent of oven-dry mass; NaN where an input is NaN.

    Raises
    ------
    ValueError
        A dry mass is not above zero, or a wet mass is below the dry one.

    References
    ----------
    .. [1] Forest Products Laboratory 2010, Wood Handbook, FPL-GTR-190, ch. 4, Eq. 4-1.

    Examples
    --------
    >>> float(moisture_pct(30.0, 20.0))
    50.0
    """
    wet_g, dry_g = as_floats(wet_g), as_floats(dry_g)
    if np.any(dry_g <= 0.0):
        message = "an oven-dry mass must be above zero"
        raise ValueError(message)
    if np.any(wet_g < dry_g):
        message = "the wet mass must not be below the oven-dry mass"
        raise ValueError(message)
    return 100.0 * (wet_g - dry_g) / dry_g


def moisture_sd_pct(
    wet_g: ArrayLike, dry_g: ArrayLike, wet_sd_g: ArrayLike, dry_sd_g: ArrayLike
) -> FloatArray:
    """Give the standard error of a moisture content that comes from two weighings.

    First-order propagation of independent errors through ``MC = 100 (wet / dry - 1)``.

    Parameters
    ----------
    wet_g, dry_g : array_like
        Mass as found and oven-dry, g.
    wet_sd_g, dry_sd_g : array_like
        Standard errors of the two, g; half the last digit of the balance is a fair start.

    Returns
    -------
    ndarray
        Standard error in points of moisture content.

    Notes
    -----
    Good while the errors are small beside the masses (within a tenth).

    References
    ----------
    .. [1] JCGM 100:2008, Guide to the expression of uncertainty in measurement, Eq. 10.
    """
    wet_g, dry_g = as_floats(wet_g), as_floats(dry_g)
    of_wet = as_floats(wet_sd_g) / dry_g
    of_dry = as_floats(dry_sd_g) * wet_g / dry_g**2
    return 100.0 * np.hypot(of_wet, of_dry)


def dry_mass_g(mass_g: ArrayLike, at_pct: ArrayLike) -> FloatArray:
    """Give the oven-dry mass of wood weighed at a known moisture content.

    Parameters
    ----------
    mass_g : array_like
        Mass, g.
    at_pct : array_like
        Moisture content at the weighing in percent of oven-dry mass, 0 or above.

    Returns
    -------
    ndarray
        Oven-dry mass, g.

    References
    ----------
    .. [1] Forest Products Laboratory 2010, Wood Handbook, FPL-GTR-190, ch. 4, Eq. 4-1, solved
       for the dry mass; the sample-board rule of Wengert, Drying Oak Lumber, step 3B.
    """
    return as_floats(mass_g) / (1.0 + as_floats(at_pct) / 100.0)


def mass_at_g(mass_g: ArrayLike, at_pct: ArrayLike, to_pct: ArrayLike) -> FloatArray:
    """Give the mass a piece will have at another moisture content.

    Parameters
    ----------
    mass_g : array_like
        Mass now, g.
    at_pct, to_pct : array_like
        Moisture content now and then, percent of oven-dry mass, 0 or above.

    Returns
    -------
    ndarray
        Mass at ``to_pct``, g.

    References
    ----------
    .. [1] Forest Products Laboratory 2010, Wood Handbook, FPL-GTR-190, ch. 4, Eq. 4-1.
    """
    return dry_mass_g(mass_g, at_pct) * (1.0 + as_floats(to_pct) / 100.0)


def maximum_moisture_pct(basic_density: ArrayLike) -> FloatArray:
    """Give the moisture content at which every hollow of the wood is full of water.

    Parameters
    ----------
    basic_density : array_like
        Oven-dry mass over green volume relative to water, above 0 and below 1.54.

    Returns
    -------
    ndarray
        Moisture content in percent of oven-dry mass.

    References
    ----------
    .. [1] Forest Products Laboratory 2021, Wood Handbook, FPL-GTR-282, ch. 4,
       ``MC_max = 100 (1.54 - G_b) / (1.54 G_b)``. The text beside it gives 267 and 44 % for 0.30
       and 0.90, the printed equation 268.4 and 46.2.
    """
    basic_density = as_floats(basic_density)
    return 100.0 * (CELL_WALL_GRAVITY - basic_density) / (CELL_WALL_GRAVITY * basic_density)


def board_mass_kg(
    basic_density: ArrayLike, green_volume_m3: ArrayLike, at_pct: ArrayLike
) -> FloatArray:
    """Give the mass of a board from its size when green and its moisture content.

    Oven-dry mass is basic density times green volume, whatever the board has shrunk to since;
    water comes on top.

    Parameters
    ----------
    basic_density : array_like
        Oven-dry mass over green volume relative to water.
    green_volume_m3 : array_like
        Volume at or above fibre saturation, m3 (see `volume`).
    at_pct : array_like
        Moisture content, percent of oven-dry mass, 0 or above.

    Returns
    -------
    ndarray
        Mass, kg. Single boards differ from the species' mean by some 10 %.

    Notes
    -----
    A guide for lifting and loading only: wet boards weigh up to twice the dry ones, and knots,
    bark and ice come on top. Lift with help; follow local rules on loads.

    References
    ----------
    .. [1] Forest Products Laboratory 2021, Wood Handbook, FPL-GTR-282, ch. 4, Eq. 4-14.
    """
    dry_kg = WATER_KG_M3 * as_floats(basic_density) * as_floats(green_volume_m3)
    return dry_kg * (1.0 + as_floats(at_pct) / 100.0)
