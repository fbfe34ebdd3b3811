"""From what a meter shows to moisture content: wood temperature first, then species."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from webapp.wood.arrays import ArrayLike, FloatArray, as_floats
from webapp.wood.meter_species import species_correction
from webapp.wood.meter_temperature import temperature_correction

if TYPE_CHECKING:
    from numpy.typing import NDArray

SCALES = ("as_shown", "douglas_fir")
"""What the display means: moisture of the wood set on the meter, or of Douglas-fir."""

TEMPERATURES = ("compensated", "not_compensated")
"""Whether the meter, or its keeper, has already corrected for the temperature of the wood."""

KINDS = ("pin", "pinless")
"""How the meter feels the wood: by resistance between needles, or from the surface."""

_REFERENCE_SD = 0.3  # table at 26.7 degC, chart at 21.1: some half a point between the two
_PINLESS_SD = 1.5  # assumption: no published correction, error goes with density


@dataclass(frozen=True)
class Corrected:
    """Corrected readings, with what was added and how much doubt the correction brings.

    All are arrays over the readings: moisture in percent, points added for temperature and for
    species, the standard deviation in points that the correction adds to the meter's own error,
    and whether the figure rests on recalled rows or lies off the printed tables.
    """

    moisture_pct: FloatArray
    temperature_points: FloatArray
    species_points: FloatArray
    extra_sd: FloatArray
    remembered: NDArray[np.bool_]
    off_table: NDArray[np.bool_]


def correct(
    reading_pct: ArrayLike,
    *,
    scale: str | NDArray[np.str_],
    temperature_kind: str | NDArray[np.str_],
    wood_temperature_c: ArrayLike,
    species: str | NDArray[np.str_],
    kind: str | NDArray[np.str_] = "pin",
) -> Corrected:
    """Turn raw readings into moisture content: temperature first, then species.

    A reading that is as shown and compensated stays as it is. Otherwise a pin reading goes
    through the temperature chart (where not compensated) and the species table (where the scale
    is Douglas-fir's). All inputs are spread over one shape.

    Parameters
    ----------
    reading_pct : array_like
        What the meter showed, percent.
    scale : str or array of str
        One of `SCALES`.
    temperature_kind : str or array of str
        One of `TEMPERATURES`.
    wood_temperature_c : array_like
        Temperature of the wood, degC; NaN where nobody wrote it down.
    species : str or array of str
        Name as in the species table; a name without a row of its own is left uncorrected, with a
        doubt as wide as the species of the table differ.
    kind : str or array of str, optional
        "pin" or "pinless"; pinless readings are not corrected, for no published rule was found.

    Returns
    -------
    Corrected
        Moisture content in percent and its parts, in points. NaN readings stay NaN.

    Raises
    ------
    ValueError
        A scale, temperature kind or meter kind is not known.

    Notes
    -----
    The chart holds from -20 to 50 degC and readings of 6 to 25 %, the species table from 8 to
    22 %. Outside, the correction of the nearest edge is kept and the doubt grows. Above fibre
    saturation no resistance meter tells more than "wet". The chart is about 1.4 times as strong
    as an equation of Pfaff and Garrahan (1986) that is known here from memory only.

    References
    ----------
    .. [1] James 1988, Electric moisture meters for wood, FPL-GTR-6, Figure 5 (digitized,
       second-hand) and resistance table (recalled).
    .. [2] Forsen and Tarvainen 2000, Accuracy and functionality of hand held wood moisture
       content meters, VTT Publications 420.
    """
    shown = as_floats(reading_pct)
    words = [np.asarray(word, dtype=np.str_) for word in (scale, temperature_kind, kind, species)]
    _refuse_unknown(words[0], SCALES, "scale")
    _refuse_unknown(words[1], TEMPERATURES, "temperature kind")
    _refuse_unknown(words[2], KINDS, "kind of meter")
    shown, wood_c, scales, temperatures, kinds, names = np.broadcast_arrays(
        shown, as_floats(wood_temperature_c), *words
    )
    pin = kinds == "pin"
    warm = (temperatures == "not_compensated") & pin
    fir = (scales == "douglas_fir") & pin
    points, chart_sd, off_chart = temperature_correction(shown, wood_c)
    points = np.where(warm, points, 0.0)
    added, species_sd, remembered, off_species = species_correction(shown + points, names)
    uncorrected = ~pin & ((scales == "douglas_fir") | (temperatures == "not_compensated"))
    variance = np.where(warm, chart_sd**2, 0.0) + np.where(fir, species_sd**2, 0.0)
    variance = variance + np.where(warm & fir, _REFERENCE_SD**2, 0.0)
    variance = variance + np.where(uncorrected, _PINLESS_SD**2, 0.0)
    species_points = np.where(fir, added, 0.0)
    return Corrected(
        moisture_pct=shown + points + species_points,
        temperature_points=points,
        species_points=species_points,
        extra_sd=np.sqrt(variance),
        remembered=fir & remembered,
        off_table=(warm & off_chart) | (fir & off_species),
    )


def _refuse_unknown(words: NDArray[np.str_], known: tuple[str, ...], what: str) -> None:
    strange = sorted(set(np.unique(words).tolist()) - set(known))
    if strange:
        message = f"no {what} is called {strange[0]!r}: {', '.join(known)}"
        raise ValueError(message)
