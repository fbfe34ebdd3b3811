"""The drying curve: moisture of boards along their stays, in closed form.

A board's moisture is its path (what a board that always lay there would hold, `air`) plus
what it still has to lose. That excess decays in *warm days*, days at 20 degC, at the rate
of the board; above fibre saturation somewhat more slowly than in proportion. A move, or a
trouble that begins or ends, starts a new segment with another path, another rate or both;
the moisture itself never jumps.

References
----------
.. [1] Tschernitz, J. L. and Simpson, W. T. 1979. Drying rate of northern red oak lumber as
   an analytical function of temperature, relative humidity and thickness. Wood Science
   11(4):202-208 (exponential approach to equilibrium, thickness, warmth).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from webapp.drying.air import AirCourses
    from webapp.drying.arrays import Array, Flags, Index
    from webapp.drying.stacks import Boards, Changes


# A board's own parameters ...
LOG_START, OWN_RATE = 0, 1
# ... and those its stack shares; the last two only count while a trouble lasts.
RATE, OFFSET, MOVED_RATE, MOVED_OFFSET, TROUBLE_RATE, TROUBLE_OFFSET = range(6)
MEMBER_PARAMETERS, GROUP_PARAMETERS = 2, 6

# Excess at which a board dries at half the speed that its excess would give in proportion:
# the wet front recedes into the board, and free water has to cross the dry shell. With 130
# points a board at 80 % dries at two thirds of the proportional speed.
SLOWING_PCT = 130.0
NEWTON_STEPS = 4
LEAST_EXCESS = 1e-9


def excess_after(start_pct: Array, warm_rate: Array) -> tuple[Array, Array, Array]:
    """What a board still has to lose after some drying.

    Parameters
    ----------
    start_pct : array
        Excess over the path at the beginning [points of moisture], negative for a board
        drier than its place.
    warm_rate : array
        Rate times warm days gone by [-], not negative.

    Returns
    -------
    three arrays
        The excess [points], and its derivatives by the start and by ``warm_rate``.

    Notes
    -----
    Solves dx/dt = -x / (1 + x/s) with s = 130 points for x > 0, that is
    ln x + x/s = ln x0 + x0/s - t (the Lambert function, by Newton's method); for a board
    drier than its place dx/dt = -x.
    """
    wet = start_pct > LEAST_EXCESS
    x0 = np.where(wet, start_pct, 1.0)
    goal = np.log(x0) + x0 / SLOWING_PCT - warm_rate
    log_x = np.minimum(goal, np.log(x0))
    for _ in range(NEWTON_STEPS):
        share = np.exp(log_x) / SLOWING_PCT
        log_x = log_x - (log_x + share - goal) / (1.0 + share)
    x = np.exp(log_x)
    slowed = 1.0 + x / SLOWING_PCT
    by_start = x / slowed * (1.0 / x0 + 1.0 / SLOWING_PCT)
    kept = np.exp(-warm_rate)
    x = np.where(wet, x, start_pct * kept)
    return (
        x,
        np.where(wet, by_start, kept),
        np.where(wet, -x / slowed, -x),
    )


@dataclass(frozen=True)
class Segments:
    """Stretches of time in which a board's air and rate follow one rule [boards, K]."""

    from_day: Array
    place: Index
    moved: Flags
    troubled: Flags


def segments_of(boards: Boards, changes: Changes) -> Segments:
    """Cut the stays of all boards where a trouble begins or ends."""
    stays = boards.stays
    first = stays.first_day
    begin = np.maximum(changes.from_day[boards.stack], first)
    end = np.maximum(changes.until_day[boards.stack], begin)
    from_day = np.sort(np.column_stack([stays.from_day, begin, end]), axis=1)
    stay = (stays.from_day[:, None, :] <= from_day[:, :, None]).sum(axis=2) - 1
    place = np.take_along_axis(stays.place, stay, axis=1)
    here = np.take_along_axis(stays.place, np.zeros_like(stay), axis=1)
    troubled = (begin[:, None] <= from_day) & (from_day < end[:, None])
    return Segments(from_day, place, place != here, troubled & np.isfinite(from_day))


class DryingCurve:
    """The curves of all boards as functions of their parameters.

    Parameters of a board are the logarithm of its moisture when stacked (``LOG_START``) and
    its own deviation from the stack's log rate (``OWN_RATE``); the stack shares the log rate
    [1/day at 20 degC], the offset of its equilibrium [points of moisture], what a move
    changes in both, and what a trouble changes in both.
    """

    def __init__(self, boards: Boards, air: AirCourses, changes: Changes) -> None:
        """Keep what the curves hang on."""
        self.boards, self.air = boards, air
        self.segments = segments_of(boards, changes)

    def apart(self) -> DryingCurve:
        """The same curves with every board a stack of its own."""
        alone = DryingCurve.__new__(DryingCurve)
        alone.boards = replace(self.boards, stack=np.arange(len(self.boards)))
        alone.air, alone.segments = self.air, self.segments
        return alone

    def _rate_and_offset(self, member: Array, group: Array) -> tuple[Array, Array]:
        """Log rate and offset of every segment [boards, K]."""
        shared = group[self.boards.stack]
        moved, troubled = self.segments.moved, self.segments.troubled
        log_rate = (shared[:, RATE] + member[:, OWN_RATE])[:, None]
        log_rate = log_rate + moved * shared[:, MOVED_RATE, None]
        log_rate = log_rate + troubled * shared[:, TROUBLE_RATE, None]
        offset = shared[:, OFFSET, None] + moved * shared[:, MOVED_OFFSET, None]
        return log_rate, offset + troubled * shared[:, TROUBLE_OFFSET, None]

    def _directions(self, segment: Index, rows: Index) -> tuple[Array, Array]:
        """Which parameters move the log rate and the offset in a segment [rows, 8]."""
        moved = self.segments.moved[rows, segment]
        troubled = self.segments.troubled[rows, segment]
        rate = np.zeros((len(rows), MEMBER_PARAMETERS + GROUP_PARAMETERS))
        offset = np.zeros_like(rate)
        rate[:, OWN_RATE] = rate[:, MEMBER_PARAMETERS + RATE] = 1.0
        rate[:, MEMBER_PARAMETERS + MOVED_RATE] = moved
        rate[:, MEMBER_PARAMETERS + TROUBLE_RATE] = troubled
        offset[:, MEMBER_PARAMETERS + OFFSET] = 1.0
        offset[:, MEMBER_PARAMETERS + MOVED_OFFSET] = moved
        offset[:, MEMBER_PARAMETERS + TROUBLE_OFFSET] = troubled
        return rate, offset

    def _starts(self, member: Array, group: Array, *, slopes: bool) -> tuple[Array, Array | None]:
        """Moisture at the beginning of every segment [boards, K], with its derivatives."""
        boards, count = self.boards, self.segments.from_day.shape[1]
        every = np.arange(len(boards))
        moisture = np.exp(member[:, LOG_START])
        slope = None
        if slopes:
            slope = np.zeros((len(boards), MEMBER_PARAMETERS + GROUP_PARAMETERS))
            slope[:, LOG_START] = moisture
        starts, all_slopes = [moisture], [slope]
        rules = self._rate_and_offset(member, group)
        for k in range(1, count):
            day = self.segments.from_day[:, k]
            lies = np.isfinite(day)
            before = np.full(len(boards), k - 1)
            there, slope_there = self._advance(rules, every, before, day, (moisture, slope))
            moisture = np.where(lies, there, moisture)
            if slope is not None and slope_there is not None:
                slope = np.where(lies[:, None], slope_there, slope)
            starts.append(moisture)
            all_slopes.append(slope)
        stacked = [s for s in all_slopes if s is not None]
        return np.stack(starts, axis=1), np.stack(stacked, axis=1) if stacked else None

    def _advance(
        self,
        rules: tuple[Array, Array],
        rows: Index,
        segment: Index,
        day: Array,
        start: tuple[Array, Array | None],
    ) -> tuple[Array, Array | None]:
        """Moisture and derivatives of boards ``rows`` on ``day``, from the segment's start."""
        log_rate, offset = (value[rows, segment] for value in rules)
        place = self.segments.place[rows, segment]
        from_day = self.segments.from_day[rows, segment]
        day = np.where(np.isfinite(day), np.maximum(day, from_day), from_day)
        path, path_slope = self.air.path(place, day, log_rate)
        path0, path0_slope = self.air.path(place, from_day, log_rate)
        warm = self.air.warm_days_until(place, day) - self.air.warm_days_until(place, from_day)
        gone = np.exp(log_rate) * warm
        excess, by_start, by_gone = excess_after(start[0] - path0 - offset, gone)
        if start[1] is None:
            return path + offset + excess, None
        by_rate, by_offset = self._directions(segment, rows)
        start_slope = start[1] - path0_slope[:, None] * by_rate - by_offset
        slope = (path_slope + by_gone * gone)[:, None] * by_rate
        return path + offset + excess, slope + by_offset + by_start[:, None] * start_slope

    def segment_at(self, rows: Index, day: Array) -> Index:
        """The segment in which each board stands on a day."""
        reached = self.segments.from_day[rows] <= day[:, None]
        return np.asarray(np.maximum(reached.sum(axis=1) - 1, 0))

    def moisture(self, member: Array, group: Array, rows: Index, day: Array) -> tuple[Array, Array]:
        """Moisture of boards on days.

        Parameters
        ----------
        member, group : arrays [boards, 2], [stacks, 6]
            Parameters as the class says.
        rows : array of int
            Index of the board.
        day : array
            Day since 1970-01-01, one for each row; before the stacking it counts as that day.

        Returns
        -------
        pair of arrays
            Mean moisture of the board [percent], and its derivatives [rows, 8] by the
            board's two and the stack's six parameters.
        """
        starts, slopes = self._starts(member, group, slopes=True)
        segment = self.segment_at(rows, day)
        rules = self._rate_and_offset(member, group)
        start = starts[rows, segment], None if slopes is None else slopes[rows, segment]
        moisture, slope = self._advance(rules, rows, segment, day, start)
        return moisture, np.asarray(slope)

    def moisture_on(self, member: Array, group: Array, days: Array) -> Array:
        """Moisture of every board on each of the days [boards, days], without derivatives."""
        starts, _ = self._starts(member, group, slopes=False)
        rows = np.repeat(np.arange(len(self.boards)), len(days))
        day = np.tile(days, len(self.boards))
        segment = self.segment_at(rows, day)
        rules = self._rate_and_offset(member, group)
        moisture, _ = self._advance(rules, rows, segment, day, (starts[rows, segment], None))
        return moisture.reshape(len(self.boards), len(days))

    def untroubled_path(
        self, member: Array, group: Array, rows: Index, day: Array
    ) -> tuple[Array, Array]:
        """What the board would hold had it always lain there with nothing wrong.

        Returns
        -------
        pair of arrays
            Moisture [percent] and its derivatives [rows, 8].
        """
        segment = self.segment_at(rows, day)
        moved = self.segments.moved[rows, segment]
        shared = group[self.boards.stack[rows]]
        log_rate = shared[:, RATE] + member[rows, OWN_RATE] + moved * shared[:, MOVED_RATE]
        offset = shared[:, OFFSET] + moved * shared[:, MOVED_OFFSET]
        path, slope = self.air.path(self.segments.place[rows, segment], day, log_rate)
        by_rate, by_offset = self._directions(segment, rows)
        by_rate[:, MEMBER_PARAMETERS + TROUBLE_RATE] = 0.0
        by_offset[:, MEMBER_PARAMETERS + TROUBLE_OFFSET] = 0.0
        return path + offset, slope[:, None] * by_rate + by_offset
