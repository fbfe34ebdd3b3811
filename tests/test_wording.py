from __future__ import annotations

import re
from datetime import date
from itertools import product
from typing import TYPE_CHECKING

import pytest

from webapp import wording
from webapp.drying.reasons import Facts, reason_for
from webapp.drying.suspicion import Kind
from webapp.drying.verdict import Fit, State

if TYPE_CHECKING:
    from collections.abc import Iterator

AS_OF = date(2026, 3, 10)
SINCE = (date(2025, 11, 14) - wording.EPOCH).days

# The contract with the verdict: each reason code and the numbers it carries.
CARRIED: dict[str, dict[str, float]] = {
    "no_reading": {},
    "one_reading": {"last_pct": 24.0, "days": 12.0},
    "doubtful": {"last_pct": 11.3, "expected_pct": 18.04},
    "long_unread": {"last_pct": 14.2, "days": 400.0},
    "over_range": {"limit_pct": 30.0, "days": 1.0},
    "wet": {"moisture_pct": 44.6},
    "drying": {"moisture_pct": 19.04, "still_to_lose_pct": 6.0, "per_month_pct": 1.2},
    "drying_no_target_soon": {"moisture_pct": 19.0, "still_to_lose_pct": 6, "per_month_pct": 0.3},
    "drying_out_of_reach": {
        "moisture_pct": 19.0,
        "per_month_pct": 0.02,
        "target_pct": 9.0,
        "lowest_pct": 12.6,
    },
    "nearly_there": {"moisture_pct": 14.2, "still_to_lose_pct": 0.5},
    "slow_season": {"moisture_pct": 17.6, "still_to_lose_pct": 4.5, "moves_on": SINCE + 150.0},
    "stalled_airflow": {
        "since": SINCE,
        "still_to_lose_pct": 5.0,
        "expected_fall_pct": 4.0,
        "seen_fall_pct": -0.2,
    },
    "stalled_damp": {
        "since": SINCE,
        "still_to_lose_pct": 5.0,
        "expected_fall_pct": 4.0,
        "seen_fall_pct": 1.0,
    },
    "levelled_off": {"moisture_pct": 13.04, "equilibrium_pct": 13.4, "probability": 0.947},
    "getting_wetter": {"since": SINCE, "rise_pct": 3.2, "expected_rise_pct": 0.8},
    "drier_than_place": {"moisture_pct": 8.0, "equilibrium_pct": 13.4},
    "out_of_reach": {"target_pct": 8.0, "lowest_pct": 12.6},
}


@pytest.mark.parametrize("code", sorted(CARRIED))
def test_a_reason_is_said_with_its_numbers(code: str) -> None:
    sentence = wording.reason_sentence(code, CARRIED[code], AS_OF)
    assert sentence.endswith(".")
    assert "nan" not in sentence
    assert not re.search(r"%\(|%%|\d\.\d\d", sentence)
    assert wording.next_step(code).endswith(".")
    assert "%%" not in wording.next_step(code)


def test_the_catalogue_and_the_contract_name_the_same_codes() -> None:
    assert set(wording.REASONS) == set(CARRIED)


def facts_of_every_kind() -> Iterator[Facts]:
    """Go through all that decides a reason; what only fills in its numbers stays the same."""
    truth = (True, False)
    lasts = product(State, (0, 1, 5), truth, (9.0, 400.0))
    for (state, readings, over, days), in_sight, target_pct, excess_pct, trouble in product(
        lasts, truth, (float("nan"), 9.0), (-3.0, 0.2, 8.0), Kind
    ):
        yield Facts(
            state=state,
            probability=0.95,
            readings=readings,
            last_pct=17.0,
            last_over=over,
            last_days=days,
            expected_pct=18.0,
            moisture_pct=18.2,
            low_pct=17.0,
            high_pct=19.5,
            excess_pct=excess_pct,
            equilibrium_pct=13.0,
            target_pct=target_pct,
            in_sight=in_sight,
            lowest_pct=12.5,
            fall_pct=1.0,
            expected_fall_pct=2.0,
            path_rise_pct=0.5,
            moves_on=SINCE + 150.0,
            trouble=trouble,
            since=SINCE,
        )


def test_the_contract_is_what_the_verdict_keeps() -> None:
    found = [reason_for(facts) for facts in facts_of_every_kind()]
    assert {code for code, _numbers in found} == set(CARRIED)
    for code, numbers in found:
        assert set(numbers) == set(CARRIED[code]), code
        assert wording.reason_sentence(code, numbers, AS_OF)


@pytest.mark.parametrize("code", sorted(CARRIED))
def test_a_sentence_uses_every_number_it_is_given(code: str) -> None:
    used = set(re.findall(r"%\((\w+)\)s", wording.REASONS[code].sentence))
    assert used == set(CARRIED[code])


def test_an_unknown_code_is_not_passed_over() -> None:
    with pytest.raises(KeyError):
        wording.reason_sentence("haunted", {}, AS_OF)


def test_no_statistics_words_beside_the_stack() -> None:
    said = " ".join(f"{reason.sentence} {reason.next_step}" for reason in wording.REASONS.values())
    assert not re.search(r"posterior|median|offset|probability of|confidence|sigma|quantile", said)


def test_an_unanchored_levelling_off_claims_no_more_than_it_knows() -> None:
    sentence = wording.reason_sentence("levelled_off", CARRIED["levelled_off"], AS_OF)
    assert sentence == (
        "Stopped moving at about 13 %, about what we expect here (13.4 %); "
        "right about 94 times in 100."
    )


def test_certainty_is_never_told_as_complete() -> None:
    certain = {**CARRIED["levelled_off"], "probability": 1.0}
    sentence = wording.reason_sentence("levelled_off", certain, AS_OF)
    assert "99 times in 100" in sentence


def test_a_rise_is_not_called_a_loss() -> None:
    sentence = wording.reason_sentence("stalled_airflow", CARRIED["stalled_airflow"], AS_OF)
    assert "since mid November: lost next to nothing where this season should" in sentence


def test_every_state_has_its_word_and_meaning() -> None:
    for state in State:
        assert wording.state_word(state) == state.value
        assert wording.state_meaning(state).endswith(".")


@pytest.mark.parametrize(
    ("fit", "target", "use", "words"),
    [
        (Fit.YES, 12.0, None, "fit for 12 %"),
        (Fit.YES, 8.0, "heated room", "fit for a heated room (8 %)"),
        (Fit.YES, 20.0, "kiln", "fit for the kiln (20 %)"),
        (Fit.YES, 16.0, "Outdoor use", "fit for outdoor use (16 %)"),
        (Fit.YES, 9.0, "music stands", "fit for 9 %"),
        (Fit.NO, 12.5, None, "not yet fit for 12.5 %"),
        (Fit.UNKNOWN, 20.0, None, "not sure yet for 20 %"),
        (Fit.NO, None, None, "not yet as dry as it gets here"),
        (Fit.UNKNOWN, None, "kiln", "too early to say"),
    ],
)
def test_fit_names_its_use(fit: Fit, target: float | None, use: str | None, words: str) -> None:
    assert wording.fit_words(fit, target, use) == words


def test_wood_without_a_use_is_air_dry_at_its_moisture() -> None:
    assert wording.fit_words(Fit.YES, None, None, 13.04) == "levelled off at 13 %, air-dry"
    assert wording.fit_words(Fit.YES, None) == "levelled off, air-dry"
    assert wording.air_dry_words(12.5, 14.0) == "levelled off at 12.5 – 14 %, air-dry"
    assert wording.air_dry_words(13.04, 13.01) == "levelled off at 13 %, air-dry"


@pytest.mark.parametrize(
    ("fit", "read", "count", "leave", "use", "words"),
    [
        (18, 20, 20, ["W7", "W12"], "12 %", "18 of 20 fit for 12 %; leave W7, W12"),
        (0, 5, 20, [], "12 %", "5 read, 15 not read"),
        (4, 5, 20, ["W1"], "12 %", "4 of 20 fit for 12 %; leave W1; 5 read, 15 not read"),
        (20, 20, 20, [], "", "20 of 20 levelled off"),
        (0, 20, 20, ["W1"], "", ""),
    ],
)
def test_how_much_of_a_stack_is_fit(
    fit: int, read: int, count: int, leave: list[str], use: str, words: str
) -> None:
    assert wording.stack_fit(fit, read, count, leave, use) == words


MAY, JULY = date(2026, 5, 25), date(2026, 7, 4)
PAST = date(2025, 12, 3)


@pytest.mark.parametrize(
    ("state", "fit", "target", "to_on", "words"),
    [
        (State.DRYING, Fit.NO, "8 %", JULY, "late May to July"),
        (State.READ_AGAIN, Fit.UNKNOWN, "8 %", JULY, "no date till it is read again"),
        (State.GETTING_WETTER, Fit.NO, "8 %", JULY, "no date while it gets wetter"),
        (State.GETTING_WETTER, Fit.YES, "17 %", PAST, "fit for 17 % so far"),
        (State.STALLED, Fit.NO, "", JULY, "no date while it is stalled"),
        (State.STALLED, Fit.YES, "", PAST, "no date while it is stalled"),
        (State.DRYING, Fit.YES, "a heated room (8 %)", PAST, "fit for a heated room (8 %)"),
        (State.LEVELLED_OFF, Fit.UNKNOWN, "", PAST, "air-dry"),
        (State.DRYING, Fit.UNKNOWN, "", JULY, "late May to July"),
    ],
)
def test_an_outlook_does_not_quarrel_with_the_state(
    state: State, fit: Fit, target: str, to_on: date, words: str
) -> None:
    from_on = min(MAY, to_on)
    assert wording.outlook_words(state, fit, target, (from_on, to_on), AS_OF) == words


def test_a_target_out_of_reach_is_said_to_be() -> None:
    said = wording.outlook_words(State.DRYING, Fit.NO, "9 %", (None, None), AS_OF, in_reach=False)
    assert said == "9 % is out of reach here"


def test_advice_fits_the_place() -> None:
    assert "weeds" in wording.next_step("stalled_airflow", "open_shed")
    assert "weeds" in wording.next_step("stalled_airflow")
    for kind in ("unheated", "heated", "chamber"):
        assert "weeds" not in wording.next_step("stalled_airflow", kind)
        assert "ground" not in wording.next_step("stalled_damp", kind)
    assert "such as a heated room" in wording.next_step("out_of_reach", "unheated")
    assert "such as a heated room" not in wording.next_step("out_of_reach", "heated")


def test_advice_for_a_place_is_advice_for_a_known_reason() -> None:
    for steps in (wording.NEXT_INDOORS, wording.NEXT_HEATED):
        assert set(steps) <= set(wording.REASONS)
        assert all(step.endswith(".") for step in steps.values())


@pytest.mark.parametrize(
    ("start", "end", "words"),
    [
        (date(2026, 5, 25), date(2026, 7, 4), "late May to July"),
        (date(2026, 5, 5), date(2026, 5, 28), "early May"),
        (date(2026, 11, 15), date(2027, 8, 4), "mid November 2026 to August 2027"),
        (date(2027, 5, 25), date(2027, 7, 4), "late May to July 2027"),
        (date(2026, 5, 25), None, "late May or later"),
        (date(2026, 2, 25), None, "now at the earliest"),
        (date(2026, 11, 15), date(2027, 1, 20), "mid November to January"),
        (None, None, "not in sight"),
        (date(2025, 9, 1), date(2025, 12, 3), "since December"),
        (date(2026, 2, 1), date(2026, 4, 3), "by early April"),
    ],
)
def test_when_wood_is_ready(start: date | None, end: date | None, words: str) -> None:
    assert wording.ready_words(start, end, AS_OF) == words


def test_wood_that_rose_again_is_not_called_ready() -> None:
    was = wording.ready_words(date(2025, 9, 1), date(2025, 12, 3), AS_OF, still=False)
    assert was == "reached in December, wetter since"


@pytest.mark.parametrize(
    ("value", "words"),
    [(12.0, "12 %"), (12.44, "12.4 %"), (27.4, "27 %"), (float("nan"), "an unknown moisture")],
)
def test_a_moisture_is_said_no_finer_than_it_is_known(value: float, words: str) -> None:
    assert wording.percent(value) == words


def test_a_single_reading_keeps_its_tenths() -> None:
    assert wording.reading_percent(29.46) == "29.5 %"
    assert wording.reading_percent(16.0) == "16.0 %"


def test_no_number_is_claimed_for_wet_wood() -> None:
    assert wording.level(73.2) == "over 30 %"
    assert wording.level(29.7) == "30 %"
    assert wording.level(12.34) == "12.3 %"


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [(12.0, 14.26, "12 – 14.3 %"), (19.6, 23.2, "20 – 23 %")],
)
def test_both_ends_of_a_range_are_equally_fine(low: float, high: float, words: str) -> None:
    assert wording.percent_range(low, high) == words


@pytest.mark.parametrize(
    ("value", "words"), [(1.0, "1 point"), (1.24, "1.2 points"), (0.04, "next to nothing")]
)
def test_a_change_is_said_in_points(value: float, words: str) -> None:
    assert wording.points(value) == words


@pytest.mark.parametrize(
    ("days", "words"), [(0.0, "today"), (1.0, "1 day ago"), (31.2, "31 days ago")]
)
def test_days_ago(days: float, words: str) -> None:
    assert wording.days_ago(days) == words


def test_days_without_a_day_are_no_date() -> None:
    assert wording.day_of(float("inf")) is None
    assert wording.day_of(float("nan")) is None
    assert wording.day_of(365.9) == date(1971, 1, 1)
