"""What would become of one stack's boards: left where they are, or taken elsewhere today.

From the very fits that the verdicts rest on: every course of events kept for the stack is
followed on, with its own parameters and their covariance, and averaged by its weight. A
move is one more stay that begins today. What is wrong with the stack where it stands
(blocked air, damp) does not move with it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from webapp.drying.air import AirCourses, warmth
from webapp.drying.curve import DryingCurve
from webapp.drying.forecast import look_ahead, node_weights
from webapp.drying.judge import EIGHTY, METER_BIAS_SD_PCT
from webapp.drying.one_stack import changes_of, copies_of, findings_of_stack
from webapp.drying.stacks import Changes, Stays
from webapp.drying.suspicion import Kind
from webapp.drying.weather import ANOMALY_SD_PCT
from webapp.wood.sorption import equilibrium_moisture_pct

if TYPE_CHECKING:
    from webapp.drying.arrays import Array, Flags, Index
    from webapp.drying.fit import Posterior
    from webapp.drying.judge import Judgement
    from webapp.drying.stacks import Boards
    from webapp.drying.suspicion import Suspicion


SIX_WEEKS_DAYS = 42.0
YEAR_DAYS = 365.0
# The driest day is looked for in steps of this; moisture is flat about it.
STEP_DAYS = 5.0
# A place knows seasons from this much between its coldest and its warmest days.
SEASONS_FROM_C = 8.0
SUMMER_FROM = 0.75


@dataclass(frozen=True)
class Course:
    """What the boards of one stack hold today, and what they would hold on a later day.

    ``day`` days since 1970-01-01; ``now_pct``, ``moisture_pct`` and its 80 % range
    ``low_pct`` to ``high_pct``: mean moisture of each board [boards of the stack, percent].
    """

    day: float
    now_pct: Array
    moisture_pct: Array
    low_pct: Array
    high_pct: Array

    @property
    def off_pct(self) -> Array:
        """What each board would lose till then [points of moisture], negative for a gain."""
        return self.now_pct - self.moisture_pct


def with_steady_room(
    air: AirCourses, temperature_c: float, rh_pct: float
) -> tuple[AirCourses, int]:
    """Add a room whose air never changes to the places of a yard.

    Parameters
    ----------
    air : AirCourses
        The yard's places.
    temperature_c : float
        Temperature of the room [degC], -30 to 60.
    rh_pct : float
        Relative humidity [percent], 3 to 98.

    Returns
    -------
    AirCourses, int
        The places with the room behind them, and its index. In steady air every board,
        whatever its speed, ends at the equilibrium of `equilibrium_moisture_pct`.
    """
    emc_pct = float(equilibrium_moisture_pct(temperature_c, rh_pct))
    places, rates, days = air.path_pct.shape
    warm = np.arange(days + 1) * float(warmth(np.array(temperature_c)))
    widened = AirCourses(
        air.first_day,
        np.vstack([air.temperature_c, np.full(days, temperature_c)]),
        np.vstack([air.emc_pct, np.full(days, emc_pct)]),
        np.vstack([air.warm_days, warm]),
        np.concatenate([air.path_pct, np.full((1, rates, days), emc_pct, dtype=np.float32)]),
    )
    return widened, places


class StackAhead:
    """One stack as it was judged today, to be followed into what may be done with it."""

    def __init__(self, judgement: Judgement, stack: int, today: float) -> None:
        """Take one stack out of a yard's judgement.

        Parameters
        ----------
        judgement : Judgement
            All of the yard, judged on ``today``.
        stack : int
            Index of the stack among the yard's.
        today : float
            Days since 1970-01-01.
        """
        self.findings, self.today = findings_of_stack(judgement.findings, stack), today
        self.air = judgement.air
        self._boards = int(self.findings.board_source.max()) + 1
        self._weights = node_weights(self.findings.posterior)
        drying = self.findings.posterior.curve
        segment = drying.segment_at(np.array([0]), np.array([today]))
        self.place = int(drying.segments.place[0, segment[0]])

    @property
    def held_up(self) -> float:
        """Probability that blocked air or damp holds the stack up today."""
        lasting = np.array([self._lasts(s) for s in self.findings.suspicions])
        return float(self.findings.weight[lasting].sum())

    def _lasts(self, suspicion: Suspicion) -> bool:
        """Whether a supposed trouble is one that lasts, and still does."""
        lasting = suspicion.kind in (Kind.AIR_BLOCKED, Kind.DAMP)
        return lasting and suspicion.from_day <= self.today < suspicion.until_day

    def driest_day(self, *, mended: bool = False) -> float:
        """The day of the coming twelve months on which the boards, left here, are driest.

        Parameters
        ----------
        mended : bool
            Whether whatever is wrong with the stack ends today.

        Returns
        -------
        float
            Days since 1970-01-01: where the mean of all boards is lowest, within five days;
            today where they only take up moisture.
        """
        days = np.arange(self.today, self.today + YEAR_DAYS + 1.0, STEP_DAYS)
        mode, drying = self.findings.posterior.mode, self._left(mended=mended)
        weight = self.findings.weight_of_board
        mean = weight @ drying.moisture_on(mode.member, mode.group, days)
        return float(days[mean.argmin()])

    def summer_before(self, day: float) -> bool:
        """Whether a summer begins between today and a day, where the boards are.

        Parameters
        ----------
        day : float
            Days since 1970-01-01, within a year from today.

        Returns
        -------
        bool
            Summer is the time in the upper quarter of the year's swing of temperature. False
            where the air hardly knows seasons.
        """
        days = np.arange(self.today, self.today + YEAR_DAYS + 1.0)
        course = self.air.temperature_c[self.place, self.air.column(days)]
        swing = float(np.ptp(course))
        warm = course >= course.min() + SUMMER_FROM * swing
        begins = days[1:][warm[1:] & ~warm[:-1]]
        return swing >= SEASONS_FROM_C and bool((begins <= day).any())

    def left(self, days: Array, *, mended: bool = False) -> list[Course]:
        """What becomes of the boards if they stay where they are.

        Parameters
        ----------
        days : array
            Days after today, days since 1970-01-01, rising.
        mended : bool
            As for `driest_day`.

        Returns
        -------
        list of Course
            One a day, each with an entry a board of the stack.
        """
        supposed = replace(self.findings.posterior, curve=self._left(mended=mended))
        return self._courses(supposed, self._weights, days)

    def moved(self, places: Index, day: float, air: AirCourses | None = None) -> list[Course]:
        """What becomes of the boards if they are taken to each of some places today.

        Parameters
        ----------
        places : array of int
            Indices of places among those of ``air``; where they lie already is no move.
        day : float
            A day after today, days since 1970-01-01.
        air : AirCourses, optional
            Courses of more places than the yard has, on the same days.

        Returns
        -------
        list of Course
            One a place, each with an entry a board of the stack. The parameters are those of
            the verdict: a first move lets rate and equilibrium differ as much as moves do
            (`priors`), a later one shares what the first was found to change.
        """
        supposed = self._moved(places, air or self.air)
        weights = np.tile(self._weights, (1, len(places)))
        return self._courses(supposed, weights, np.array([day]), len(places))

    def _moved(self, places: Index, air: AirCourses) -> Posterior:
        """A copy of all copies for each place, with one more stay."""
        known = len(self.findings.suspicions)
        to = np.repeat(places, known)
        changes = self._ended_where(to != self.place)
        again = np.tile(np.arange(known), len(places))
        copied, copies = copies_of(self.findings.posterior, again, changes)
        stays = _one_more(copies.boards, to[copies.boards.stack], self.today)
        curve = DryingCurve(replace(copies.boards, stays=stays), air, changes)
        return replace(copied, curve=curve)

    def _left(self, *, mended: bool) -> DryingCurve:
        """The curves of all copies where they lie."""
        drying = self.findings.posterior.curve
        if not mended:
            return drying
        every = np.ones(len(self.findings.suspicions), dtype=bool)
        return DryingCurve(drying.boards, drying.air, self._ended_where(every))

    def _ended_where(self, ended: Flags) -> Changes:
        """The changes of all courses of events over and over, ended today where flagged."""
        changes = changes_of(self.findings.suspicions)
        times = len(ended) // len(changes.from_day)
        until = np.tile(changes.until_day, times)
        until = np.where(ended, np.minimum(until, self.today), until)
        return Changes(np.tile(changes.from_day, times), until)

    def _courses(
        self, supposed: Posterior, weights: Array, days: Array, places: int = 1
    ) -> list[Course]:
        """Follow all copies along their curves and average them, place by place, day by day."""
        ahead = look_ahead(supposed, np.concatenate([[self.today], days]), self.today, weights)
        mean = self._averaged(ahead.mean_pct, places)
        square = self._averaged(ahead.mean_pct**2 + ahead.sd_pct**2, places)
        half = EIGHTY * np.sqrt(np.maximum(square - mean**2, 0.0) + METER_BIAS_SD_PCT**2)
        floor = self._averaged(_floor(supposed, ahead.days, ahead.mean_pct, ahead.sd_pct), places)
        low, high = np.maximum(mean - half, floor), mean + half
        return [
            Course(float(day), mean[:, at, 0], mean[:, at, n], low[:, at, n], high[:, at, n])
            for at in range(places)
            for n, day in enumerate(days, start=1)
        ]

    def _averaged(self, values: Array, places: int) -> Array:
        """Average what the copies say [boards of the stack, places, days]."""
        source, weight = self.findings.board_source, self.findings.weight_of_board
        copied = values.reshape(places, len(source), -1).transpose(1, 0, 2)
        out = np.zeros((self._boards, *copied.shape[1:]))
        np.add.at(out, source, weight[:, None, None] * copied)
        return out


def _floor(supposed: Posterior, days: Array, mean_pct: Array, sd_pct: Array) -> Array:
    """How dry each copy may be at the least on each day [copies, days].

    A board that still loses does not pass the path it falls towards, however badly its
    moisture is known; one that is drier than its place may be drier still.
    """
    drying, mode = supposed.curve, supposed.mode
    rows, day = np.repeat(np.arange(len(mean_pct)), len(days)), np.tile(days, len(mean_pct))
    path, slope = drying.untroubled_path(mode.member, mode.group, rows, day)
    variance = np.einsum("bi,bij,bj->b", slope, supposed.covariance()[rows], slope)
    lowest = path - EIGHTY * np.sqrt(variance + ANOMALY_SD_PCT**2 + METER_BIAS_SD_PCT**2)
    path, lowest = path.reshape(mean_pct.shape), lowest.reshape(mean_pct.shape)
    own = mean_pct - EIGHTY * np.hypot(sd_pct, METER_BIAS_SD_PCT)
    return np.maximum(np.where(mean_pct > path, lowest, own), 0.0)


def _one_more(boards: Boards, place: Index, today: float) -> Stays:
    """The boards' stays with another place from today on."""
    stays = boards.stays
    from_day = np.column_stack([stays.from_day, np.full(len(boards), today)])
    # Days that never come fill up the rows of boards with fewer stays, and stand last.
    order = np.argsort(from_day, axis=1, kind="stable")
    places = np.take_along_axis(np.column_stack([stays.place, place]), order, axis=1)
    return Stays(np.take_along_axis(from_day, order, axis=1), places)
