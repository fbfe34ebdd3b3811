from datetime import timedelta
from typing import Any

from tests.make_lines import AS_OF, made_line
from webapp.drying.verdict import Fit, State
from webapp.look import Units
from webapp.pages.lots import lots_of

DRYING = [State.DRYING]


def test_boards_alike_in_wood_and_use_are_one_lot() -> None:
    kiln: dict[str, Any] = {"target_pct": 20.0, "use": "kiln", "fit": Fit.YES}
    [lot] = lots_of([made_line(DRYING * 2, **kiln), made_line(DRYING, **kiln)], Units.METRIC)
    assert lot.wood == "white oak 27 mm"
    assert lot.use == "fit for the kiln (20 %)"
    assert lot.amount == "3 boards"
    assert lot.last_read_on == AS_OF - timedelta(days=18)


def test_another_use_is_another_lot() -> None:
    lines = [
        made_line(DRYING, target_pct=20.0, use="kiln", fit=Fit.YES),
        made_line(DRYING, target_pct=20.0, fit=Fit.YES),
        made_line(DRYING, [14.04], fit=Fit.YES),
    ]
    assert [lot.use for lot in lots_of(lines, Units.METRIC)] == [
        "levelled off at 14 %, air-dry",
        "fit for 20 %",
        "fit for the kiln (20 %)",
    ]


def test_what_is_not_fit_is_in_no_lot() -> None:
    lines = [made_line(DRYING, fit=fit) for fit in (Fit.NO, Fit.UNKNOWN)]
    assert lots_of(lines, Units.METRIC) == []


def test_the_marked_boards_of_a_counted_stack_stand_for_the_others() -> None:
    [lot] = lots_of([made_line(DRYING * 5, fit=Fit.YES, board_count=60)], Units.METRIC)
    assert lot.amount == "5 boards, samples of about 60"
    [listed] = lots_of([made_line(DRYING * 5, fit=Fit.YES)], Units.METRIC)
    assert listed.amount == "5 boards"


def test_few_stacks_are_named_and_many_counted() -> None:
    lines = []
    for n in range(8):
        line = made_line(DRYING, fit=Fit.YES)
        line.stack.id, line.stack.mark = n, f"S{n}"
        lines.append(line)
    assert lots_of(lines[:1], Units.METRIC)[0].stacks == "stack S0"
    assert lots_of(lines[:3], Units.METRIC)[0].stacks == "stacks S0, S1, S2"
    assert lots_of(lines, Units.METRIC)[0].stacks == "in 8 stacks"


def test_boards_can_be_picked() -> None:
    line = made_line(DRYING * 3, fit=Fit.YES)
    [lot] = lots_of([line], Units.METRIC, lambda piece: piece.board.mark != "W2")
    assert lot.amount == "2 boards"
    assert lots_of([line], Units.METRIC, lambda _piece: False) == []
