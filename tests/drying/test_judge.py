"""What is said of stacks whose story we know; their boards dry by layers, not by our model."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import product
from typing import TYPE_CHECKING

import numpy as np
import pytest

from tests.drying.layered_boards import Weather, dried
from tests.drying.made_yard import (
    MadeYard,
    boards_of,
    continental,
    courses,
    day,
    heated,
    plain_background,
    readings_of,
    temperate,
    visits,
)
from webapp.drying.judge import judge
from webapp.drying.stacks import Readings
from webapp.drying.suspicion import Kind
from webapp.drying.verdict import Fit, State, Verdict

if TYPE_CHECKING:
    from webapp.drying.air import PlaceAir
    from webapp.drying.judge import Judgement

EACH = 5


@dataclass(frozen=True)
class Story:
    """One stack: when it was stacked, how thick, and what befell it on which days after."""

    stacked: str
    thickness_mm: float = 27.0
    green_pct: float = 75.0
    blocked: tuple[int, int] | None = None
    damp: tuple[int, int, float] | None = None
    indoors_after: int | None = None
    pace: float = 1.0


def told(
    stories: list[Story],
    until: str,
    *,
    target_pct: float = np.nan,
    seed: int = 5,
    shed: PlaceAir | None = None,
) -> tuple[MadeYard, np.ndarray]:
    """A yard of such stacks, read once a month until a day; and the truth [boards, days]."""
    rng = np.random.default_rng(seed)
    first, last = min(day(s.stacked) for s in stories), day(until)
    places = [shed or temperate(), heated()]
    air = courses(places, first, last)
    truth = np.full((len(stories) * EACH, int(last - first) + 1), np.nan)
    rows: list[tuple[int, float, float]] = []
    moves = []
    for n, story in enumerate(stories):
        stacked = day(story.stacked)
        length = int(last - stacked) + 1
        weather = Weather.at(air, 0, stacked, length)
        if story.blocked:
            weather.flow[slice(*story.blocked)] = 0.005
        if story.damp:
            weather.emc_pct[slice(*story.damp[:2])] += story.damp[2]
        if story.indoors_after is not None:
            inside = Weather.at(air, 1, stacked, length)
            weather.emc_pct[story.indoors_after :] = inside.emc_pct[story.indoors_after :]
            weather.temperature_c[story.indoors_after :] = 20.0
            moves.append((n, stacked + story.indoors_after, 1))
        pace = story.pace * np.exp(rng.normal(0, 0.15, EACH))
        green = np.full(EACH, story.green_pct)
        moisture = dried(weather, np.full(EACH, story.thickness_mm), green, pace)
        truth[n * EACH : (n + 1) * EACH, int(stacked - first) :] = moisture
        days = np.arange(stacked + 15, last + 1, 30)
        rows += visits(moisture, stacked, days, rng=rng, board=n * EACH)
    boards = boards_of(
        [EACH] * len(stories),
        stacked=[day(s.stacked) for s in stories],
        thickness_mm=np.repeat([s.thickness_mm for s in stories], EACH),
        target_pct=target_pct,
        moves=moves,
    )
    return MadeYard(boards, readings_of(rows), places), truth


def of_stack(verdicts: list[Verdict], stack: int) -> list[Verdict]:
    return verdicts[stack * EACH : (stack + 1) * EACH]


def share(verdicts: list[Verdict], *states: State) -> float:
    return float(np.mean([v.state in states for v in verdicts]))


NEIGHBOURS = [Story("2022-04-01"), Story("2022-05-10", 32), Story("2022-03-10", 25)]


def test_a_winter_stall_fools_the_eye_and_not_the_verdict() -> None:
    """Common practice, no source: unchanged since last month is taken as dry."""
    slow, sitting, moves_on = [], [], []
    today = day("2023-02-20")
    for seed in range(2, 6):
        yard, truth = told(
            [Story("2022-07-01", 40, 60.0, pace=1.2), *NEIGHBOURS],
            "2023-02-20",
            shed=continental(),
            seed=seed,
        )
        sitting.append(_monthly_change(yard))
        here = int(today - yard.boards.stays.first_day.min())
        verdicts = of_stack(yard.judged(today, refitted=True).verdicts, 0)
        excess = truth[:EACH, here] - np.array([v.equilibrium_pct for v in verdicts])
        assert (excess > 0.75).all()
        assert excess.mean() > 2.0
        assert share(verdicts, State.LEVELLED_OFF, State.STALLED, State.GETTING_WETTER) == 0
        mine = [v for v in verdicts if v.state is State.SLOW_SEASON]
        slow.append(len(mine) / EACH)
        assert {v.reason for v in mine} <= {"slow_season"}
        moves_on += [v.numbers["moves_on"] for v in mine]
    # The mean of five boards, each read to about half a point.
    assert np.abs(sitting).max() < 0.8
    assert np.mean(slow) > 0.6
    assert day("2023-02-20") < min(moves_on) <= max(moves_on) < day("2023-06-01")


def _monthly_change(yard: MadeYard) -> float:
    """What the first stack's mean reading lost from the last visit but one to the last."""
    readings = yard.readings
    mine = readings.board < EACH
    last, before = (
        readings.value_pct[mine & (readings.day == on)].mean()
        for on in sorted(set(readings.day[mine]))[-1:-3:-1]
    )
    return float(before - last)


def test_blocked_air_is_named_and_sound_neighbours_are_not() -> None:
    stories = [Story("2023-03-01", blocked=(100, 400)), Story("2023-03-01"), *NEIGHBOURS]
    stalled: list[Verdict] = []
    yards = range(3, 7)
    for seed in yards:
        yard, _ = told(stories, "2023-09-10", seed=seed)
        verdicts = yard.judged(day("2023-09-10"), refitted=True).verdicts
        mine = of_stack(verdicts, 0)
        assert share(mine, State.LEVELLED_OFF) == 0
        stalled += [v for v in mine if v.state is State.STALLED]
        for neighbour in range(1, 5):
            assert share(of_stack(verdicts, neighbour), State.STALLED, State.GETTING_WETTER) == 0
    assert len(stalled) >= 0.5 * EACH * len(yards)
    for verdict in stalled:
        assert verdict.reason in {"stalled_airflow", "stalled_damp"}
        assert verdict.numbers["expected_fall_pct"] > verdict.numbers["seen_fall_pct"]
        assert day("2023-03-10") < verdict.numbers["since"] < day("2023-08-01")


def test_a_leak_is_getting_wetter() -> None:
    leak = (430, 500, 14.0)
    yard, truth = told([Story("2022-03-01", damp=leak), *NEIGHBOURS], "2023-06-25")
    today = day("2023-06-25")
    verdicts = yard.judged(today, refitted=True).verdicts
    assert truth[:EACH, -1].mean() > truth[:EACH, -60].mean() + 2
    assert share(of_stack(verdicts, 0), State.GETTING_WETTER) >= 0.6
    assert all(
        v.numbers["rise_pct"] > 0 for v in of_stack(verdicts, 0) if v.state is State.GETTING_WETTER
    )
    for neighbour in range(1, 4):
        assert share(of_stack(verdicts, neighbour), State.GETTING_WETTER) == 0


def test_dry_stacks_have_levelled_off() -> None:
    yard, truth = told(NEIGHBOURS, "2024-05-01")
    verdicts = yard.judged(day("2024-05-01"), refitted=True).verdicts
    assert share(verdicts, State.LEVELLED_OFF) >= 0.9
    for verdict, true in zip(verdicts, truth[:, -1], strict=True):
        assert verdict.moisture_low - 0.3 < true < verdict.moisture_high + 0.3
        assert verdict.fit is Fit.YES


def test_a_board_that_still_falls_is_drying_and_its_date_comes_true() -> None:
    yard, truth = told([Story("2023-03-15", 32), *NEIGHBOURS], "2023-12-01", target_pct=18.0)
    judged = yard.judged(day("2023-06-20"), refitted=True)
    first = yard.boards.stays.first_day.min()
    for verdict, true in zip(of_stack(judged.verdicts, 0), truth[:EACH], strict=True):
        assert verdict.state in {State.DRYING, State.WET}
        reached = first + int(np.argmax(np.nan_to_num(true, nan=99.0) <= 18.0))
        assert verdict.ready_from - 10 < reached < verdict.ready_to + 10


def test_over_range_only_is_wet() -> None:
    yard, _ = told([Story("2023-01-05", 52, green_pct=110.0)], "2023-03-10")
    verdicts = yard.judged(day("2023-03-10")).verdicts
    assert yard.readings.over.all()
    assert share(verdicts, State.WET) == 1.0
    assert {v.reason for v in verdicts} == {"over_range"}
    assert all(v.moisture_high - v.moisture_low > 15 for v in verdicts)


@pytest.fixture(scope="module")
def dry_yard() -> MadeYard:
    return told(NEIGHBOURS, "2024-05-01")[0]


def test_without_a_reading_and_with_only_one_it_asks_for_more(dry_yard: MadeYard) -> None:
    readings = dry_yard.readings
    last = readings.day[readings.board == 1].max()
    kept = (readings.board != 0) & ((readings.board != 1) | (readings.day == last))
    verdicts = replace(dry_yard, readings=readings.where(kept)).judged(day("2024-05-01")).verdicts
    assert (verdicts[0].state, verdicts[0].reason) == (State.READ_AGAIN, "no_reading")
    assert verdicts[0].fit is Fit.UNKNOWN
    assert (verdicts[1].state, verdicts[1].reason) == (State.READ_AGAIN, "one_reading")
    assert verdicts[1].numbers["last_pct"] == readings.value_pct[kept & (readings.board == 1)][0]


def test_a_slip_of_the_finger_is_doubted_and_asked_again(dry_yard: MadeYard) -> None:
    readings = dry_yard.readings
    value = readings.value_pct.copy()
    row = int(np.flatnonzero(readings.board == 3)[-1])
    value[row] *= 2
    slipped = Readings(
        readings.board, readings.day, value, readings.over, readings.under, readings.extra_sd
    )
    verdicts = replace(dry_yard, readings=slipped).judged(day("2024-05-01")).verdicts
    assert (verdicts[3].state, verdicts[3].reason) == (State.READ_AGAIN, "doubtful")
    assert verdicts[3].numbers["expected_pct"] == pytest.approx(value[row] / 2, abs=1.5)
    assert share(verdicts, State.READ_AGAIN) == 1 / len(verdicts)


def test_half_a_year_unread_asks_for_a_reading(dry_yard: MadeYard) -> None:
    verdicts = dry_yard.judged(day("2024-12-20")).verdicts
    assert {v.reason for v in verdicts} == {"long_unread"}


def test_a_gap_of_a_year_is_bridged(dry_yard: MadeYard) -> None:
    readings = dry_yard.readings
    gap = (readings.day > day("2022-09-01")) & (readings.day < day("2023-10-01"))
    verdicts = replace(dry_yard, readings=readings.where(~gap)).judged(day("2024-05-01")).verdicts
    assert share(verdicts, State.LEVELLED_OFF) >= 0.8


def test_indoors_it_dries_on() -> None:
    stories = [Story("2022-03-01", indoors_after=380), *NEIGHBOURS]
    yard, truth = told(stories, "2023-05-05", target_pct=9.0)
    before = of_stack(yard_before_move(yard, "2023-03-10").verdicts, 0)
    assert all(np.isnan(v.ready_on) for v in before)
    after = of_stack(yard.judged(day("2023-05-05"), refitted=True).verdicts, 0)
    assert all(v.equilibrium_pct < 10 for v in after)
    assert share(after, State.DRYING, State.LEVELLED_OFF) == 1.0
    assert all(
        abs(v.moisture_pct - true) < 1.2 for v, true in zip(after, truth[:EACH, -1], strict=True)
    )


def yard_before_move(yard: MadeYard, when: str) -> Judgement:
    """The yard as it was known before the move: no stay begins after the day."""
    from_day = np.where(yard.boards.stays.from_day <= day(when), yard.boards.stays.from_day, np.inf)
    place = yard.boards.stays.place.copy()
    place[:, 1] = 0
    boards = replace(yard.boards, stays=replace(yard.boards.stays, from_day=from_day, place=place))
    return replace(yard, boards=boards).judged(day(when), refitted=True)


def test_wood_drier_than_its_place_takes_up_moisture_and_is_not_in_trouble() -> None:
    yard, _ = told([Story("2023-10-01", green_pct=8.0), *NEIGHBOURS], "2024-01-10")
    boards = yard.boards
    green = np.where(boards.stack == 0, 8.0, boards.green_pct)
    verdicts = (
        replace(yard, boards=replace(boards, green_pct=green))
        .judged(day("2024-01-10"), refitted=True)
        .verdicts
    )
    dry = of_stack(verdicts, 0)
    assert share(dry, State.GETTING_WETTER, State.STALLED) == 0
    assert share(dry, State.LEVELLED_OFF) >= 0.8
    assert all(v.excess_pct < 0.5 for v in dry)


@pytest.mark.parametrize("count", [1, 200])
def test_one_board_or_two_hundred(count: int) -> None:
    first = day("2023-03-01")
    days = first + np.arange(10, 300, 30)
    rows = [
        (board, when, 12 + 60 * np.exp(-(when - first) / 60) + 0.1 * (board % 7))
        for board, when in product(range(count), days)
    ]
    yard = MadeYard(
        boards_of([count], stacked=first, target_pct=20.0), readings_of(rows), [temperate()]
    )
    verdicts = yard.judged(day("2023-12-25")).verdicts
    assert len(verdicts) == count
    assert all(v.fit is Fit.YES for v in verdicts)


def test_the_last_reading_is_the_latest_in_whatever_order_they_come(dry_yard: MadeYard) -> None:
    """An old slip, handed over as the last row, is no reason to read again."""
    readings = dry_yard.readings
    rows = np.flatnonzero(readings.board == 3)
    slip = rows[len(rows) // 2]
    value, turn = readings.value_pct.copy(), readings.day.copy()
    value[slip] *= 2.2
    turn[slip] = np.inf
    slipped = replace(readings, value_pct=value)
    plain, mixed = (
        replace(dry_yard, readings=slipped.where(order)).judged(day("2024-05-01")).verdicts
        for order in (np.arange(len(readings)), np.lexsort((turn, readings.board)))
    )
    assert plain[3].state is State.LEVELLED_OFF
    assert [(v.state, v.reason) for v in mixed] == [(v.state, v.reason) for v in plain]


@pytest.fixture(scope="module")
def eventful_yard() -> MadeYard:
    stories = [
        Story("2022-03-01", damp=(430, 500, 14.0)),
        Story("2022-03-05", 52, green_pct=110.0, pace=0.5),
        Story("2022-03-10", blocked=(100, 300)),
        Story("2022-03-15", indoors_after=250),
    ]
    return told(stories, "2024-05-01", target_pct=14.0)[0]


def test_readings_after_the_day_are_not_known_yet(eventful_yard: MadeYard) -> None:
    today = day("2023-03-01")
    yard, first = eventful_yard, float(eventful_yard.boards.stays.first_day.min())
    air = courses(yard.places, first, today)
    background = plain_background(yard.boards, air, today)
    known = yard.readings.where(yard.readings.day <= today)
    told_all, told_then = (
        judge(readings, yard.boards, air, background, today).verdicts
        for readings in (yard.readings, known)
    )
    assert [(v.state, v.moisture_pct) for v in told_all] == [
        (v.state, v.moisture_pct) for v in told_then
    ]


@pytest.mark.parametrize("when", ["2022-11-01", "2023-06-15", "2024-04-30"])
def test_the_outlook_begins_where_the_verdict_stands(eventful_yard: MadeYard, when: str) -> None:
    judged = eventful_yard.judged(day(when))
    today = int(np.flatnonzero(judged.outlook.days == day(when))[0])
    stands = np.array([v.moisture_pct for v in judged.verdicts])
    np.testing.assert_allclose(judged.outlook.mean_pct[:, today], stands, atol=1.0)


def test_the_trouble_that_is_named_is_the_likeliest(eventful_yard: MadeYard) -> None:
    found = eventful_yard.judged(day("2022-10-15"))
    findings = found.findings
    weighed = [
        (weight, s)
        for s, weight in zip(findings.suspicions, findings.weight, strict=True)
        if s.stack == 2 and s.kind is not Kind.NOTHING
    ]
    assert len(weighed) > 1
    likeliest = max(weighed, key=lambda pair: pair[0])[1]
    named = [v for v in of_stack(found.verdicts, 2) if v.state is State.STALLED]
    assert named
    assert {v.numbers["since"] for v in named} == {likeliest.from_day}


@pytest.mark.parametrize("kind", ["dry_yard", "eventful_yard"])
@pytest.mark.parametrize("when", ["2022-05-20", "2022-11-01", "2023-06-15", "2024-04-30"])
def test_probabilities_and_dates_are_in_order(
    when: str, kind: str, request: pytest.FixtureRequest
) -> None:
    yard: MadeYard = request.getfixturevalue(kind)
    verdicts = yard.judged(day(when)).verdicts
    dated = 0
    for verdict in verdicts:
        assert 0 <= verdict.probability <= 1
        assert 0 <= verdict.moisture_low <= verdict.moisture_pct <= verdict.moisture_high
        dates = verdict.ready_from, verdict.ready_on, verdict.ready_to
        assert np.isnan(dates).all() or list(dates) == sorted(dates)
        dated += not np.isnan(dates).any()
        assert np.isfinite(verdict.moisture_high)
        assert np.isfinite(verdict.equilibrium_pct)
    assert dated > 0
