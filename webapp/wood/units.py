"""Conversions used at the door; inside, everything is metric with the unit in the name."""

from __future__ import annotations

import re

from webapp.wood.arrays import ArrayLike, FloatArray, as_floats

MM_PER_INCH = 25.4
"""Exact since the international yard of 1959 (NIST SP 811, Appendix B)."""

M3_PER_BOARD_FOOT = (12 * MM_PER_INCH / 1000) ** 2 * MM_PER_INCH / 1000
"""A board foot is a square foot one inch thick: 0.002359737216 m3 (NIST SP 811, Appendix B)."""

KG_PER_POUND = 0.45359237
"""Avoirdupois pound, exact since 1959 (NIST SP 811, Appendix B)."""

_QUARTERS = re.compile(r"\s*(\d{1,2})\s*/\s*([48])\s*")


def mm_from_inches(inches: ArrayLike) -> FloatArray:
    """Give millimetres for inches; source: NIST SP 811, Appendix B (exact)."""
    return as_floats(inches) * MM_PER_INCH


def inches_from_mm(mm: ArrayLike) -> FloatArray:
    """Give inches for millimetres; source: NIST SP 811, Appendix B (exact)."""
    return as_floats(mm) / MM_PER_INCH


def m3_from_board_feet(board_feet: ArrayLike) -> FloatArray:
    """Give cubic metres for board feet; source: NIST SP 811, Appendix B."""
    return as_floats(board_feet) * M3_PER_BOARD_FOOT


def board_feet_from_m3(volume_m3: ArrayLike) -> FloatArray:
    """Give board feet for cubic metres; source: NIST SP 811, Appendix B."""
    return as_floats(volume_m3) / M3_PER_BOARD_FOOT


def pounds_from_kg(mass_kg: ArrayLike) -> FloatArray:
    """Give pounds for kg; source: NIST SP 811, Appendix B (exact)."""
    return as_floats(mass_kg) / KG_PER_POUND


def celsius_from_fahrenheit(temperature_f: ArrayLike) -> FloatArray:
    """Give degC for degF; source: NIST SP 811, Appendix B (exact)."""
    return (as_floats(temperature_f) - 32.0) / 1.8


def fahrenheit_from_celsius(temperature_c: ArrayLike) -> FloatArray:
    """Give degF for degC; source: NIST SP 811, Appendix B (exact)."""
    return as_floats(temperature_c) * 1.8 + 32.0


def mm_from_quarters(nominal: str) -> float:
    """Give the nominal thickness behind a trade fraction such as "5/4", in millimetres.

    Parameters
    ----------
    nominal : str
        Quarters or eighths of an inch: "4/4", "5/4", "8/4", "7/8".

    Returns
    -------
    float
        Thickness in mm: "5/4" is one and a quarter inch, 31.75 mm. It is the name of a size, not
        a promise: boards are sawn over it and finish under it.

    Raises
    ------
    ValueError
        The text is no such fraction, or names no thickness.

    References
    ----------
    .. [1] Trade usage (common practice, no source); NIST SP 811, Appendix B for the inch.

    Examples
    --------
    >>> mm_from_quarters("5/4")
    31.75
    """
    match = _QUARTERS.fullmatch(nominal)
    if match is None or int(match[1]) == 0:
        raise ValueError(f"{nominal!r} is no thickness in quarters of an inch, such as 5/4")
    return int(match[1]) / int(match[2]) * MM_PER_INCH
