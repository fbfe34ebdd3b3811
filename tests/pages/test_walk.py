from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from tests.make_lines import AS_OF, READ_ON, SAID, made_line
from webapp.drying.verdict import State
from webapp.pages.walk import due_on, far_month, walk_of, why_of
from webapp.wording import EPOCH

APRIL = date(2025, 4, 12)
LATELY = AS_OF - timedelta(days=20)
HALF_A_YEAR = READ_ON + timedelta(days=182)


@pytest.mark.parametrize("state", [State.STALLED, State.GETTING_WETTER])
def test_trouble_is_looked_at_today(state: State) -> None:
    assert due_on(replace(SAID, state=state), 30) == AS_OF


def test_what_was_never_read_or_is_doubted_is_looked_at_today() -> None:
    assert due_on(replace(SAID, last_read_on=None, state=State.READ_AGAIN), 30) == AS_OF
    assert due_on(replace(SAID, state=State.READ_AGAIN, reason="doubtful"), 30) == AS_OF


@pytest.mark.parametrize("state", [State.DRYING, State.WET, State.READ_AGAIN])
def test_the_usual_round_is_a_month_after_the_last(state: State) -> None:
    assert due_on(replace(SAID, state=state), 30) == READ_ON + timedelta(days=30)


def test_a_slow_season_waits_till_it_moves() -> None:
    moves_on = float((APRIL - EPOCH).days)
    said = replace(SAID, state=State.SLOW_SEASON, numbers={"moves_on": moves_on})
    assert due_on(said, 30) == APRIL
    assert due_on(replace(said, numbers={}), 30) == READ_ON + timedelta(days=30)
    late = replace(said, numbers={"moves_on": moves_on + 300})
    assert due_on(late, 30) == HALF_A_YEAR


def test_what_has_levelled_off_wants_no_round_for_half_a_year() -> None:
    assert due_on(replace(SAID, state=State.LEVELLED_OFF), 30) == HALF_A_YEAR


def test_the_walk_goes_from_place_to_place() -> None:
    old = AS_OF - timedelta(days=40)
    lines = [
        made_line(place="Loft", last_read_on=old),
        made_line(place="Barn", state=State.STALLED),
        made_line(place="Loft", last_read_on=None, state=State.READ_AGAIN, reason="no_reading"),
        made_line(place=None, last_read_on=old),
        made_line(place="Cellar"),
    ]
    walk = walk_of(lines, AS_OF)
    assert [(stop.place, len(stop.visits)) for stop in walk.stops] == [
        ("", 1),
        ("Barn", 1),
        ("Loft", 2),
    ]
    assert walk.next_on is None


def test_where_nothing_is_due_the_next_round_is_named() -> None:
    walk = walk_of([made_line(), made_line(state=State.LEVELLED_OFF)], AS_OF)
    assert walk.stops == ()
    assert walk.next_on == READ_ON + timedelta(days=30)
    assert walk.next_month == ""
    quiet = walk_of([made_line(state=State.LEVELLED_OFF)], AS_OF)
    assert quiet.next_on == HALF_A_YEAR
    assert quiet.next_month == "August"
    assert walk_of([], AS_OF).next_on is None


def test_a_far_month_is_enough() -> None:
    assert far_month(AS_OF + timedelta(days=60), AS_OF) == ""
    assert far_month(AS_OF + timedelta(days=61), AS_OF) == "May"


def test_what_is_to_be_read_again_is_in_the_walk_before_it_is_due() -> None:
    line = made_line(state=State.READ_AGAIN, reason="one_reading")
    walk = walk_of([line, made_line()], AS_OF)
    assert [visit.line for visit in walk.soon] == [line]
    assert walk.soon[0].why == "read only once, 18 days ago"
    assert walk.soon[0].on == READ_ON + timedelta(days=30)


def test_a_young_wet_stack_is_looked_at_weekly() -> None:
    read_on = AS_OF - timedelta(days=5)
    young = made_line(state=State.WET, sawn_on=LATELY, last_read_on=read_on)
    [visit] = walk_of([young], AS_OF).soon
    assert visit.on == read_on + timedelta(days=7)
    assert visit.why == "read 5 days ago, sawn 20 days ago"
    due = made_line(state=State.WET, sawn_on=LATELY, last_read_on=AS_OF - timedelta(days=7))
    assert walk_of([due], AS_OF).stops[0].visits[0].line is due


def test_young_wood_read_once_is_looked_at_weekly_only_while_it_is_wet() -> None:
    once: dict[str, Any] = {"state": State.READ_AGAIN, "reason": "one_reading", "sawn_on": LATELY}
    [wet] = walk_of([made_line(wettest=60.0, last_read_on=AS_OF, **once)], AS_OF).soon
    assert wet.on == AS_OF + timedelta(days=7)
    [dry] = walk_of([made_line(wettest=18.0, last_read_on=AS_OF, **once)], AS_OF).soon
    assert dry.on == AS_OF + timedelta(days=30)


def test_old_wet_wood_waits_for_the_monthly_round() -> None:
    old = made_line(state=State.WET, sawn_on=AS_OF - timedelta(days=90))
    assert walk_of([old], AS_OF).soon == ()


def test_a_keepers_own_days_between_rounds_come_first() -> None:
    line = made_line(state=State.WET, sawn_on=LATELY)
    line.stack.visit_days = 90
    assert walk_of([line], AS_OF).next_on == READ_ON + timedelta(days=90)


def test_one_board_in_trouble_brings_its_stack_into_the_walk() -> None:
    line = made_line([State.DRYING] * 7 + [State.STALLED])
    [stop] = walk_of([line], AS_OF).stops
    assert stop.visits[0].why == "W8 stalled, read 18 days ago"


def test_trouble_is_not_told_twice() -> None:
    assert why_of(made_line(state=State.STALLED, sawn_on=LATELY)) == "stalled"


def test_a_doubtful_reading_is_called_so() -> None:
    line = made_line(state=State.READ_AGAIN, reason="doubtful")
    assert why_of(line) == "last reading doubtful, 18 days ago"
