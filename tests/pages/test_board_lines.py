from tests.make_lines import made_line
from webapp.drying.verdict import Fit, State
from webapp.pages.board_lines import BoardLine, board_lines
from webapp.pages.stack_lines import use_of
from webapp.records import Board, Stack


def test_a_board_is_fit_for_the_use_of_its_stack() -> None:
    line = made_line([State.DRYING], target_pct=20.0, use="kiln", fit=Fit.YES)
    [board] = board_lines(line)
    assert board.fit == "fit for the kiln (20 %)"
    assert board.ready == "fit for the kiln (20 %)"


def test_a_board_with_a_target_of_its_own_names_that() -> None:
    stack = Stack(target_pct=20.0, use="kiln")
    assert use_of(Board(target_pct=9.0), stack) is None
    assert use_of(Board(target_pct=20.0), stack) == "kiln"
    assert use_of(Board(), stack) == "kiln"


def test_without_a_use_a_board_has_levelled_off_somewhere() -> None:
    [board] = board_lines(made_line([State.LEVELLED_OFF], [13.04], fit=Fit.YES))
    assert board.fit == "levelled off at 13 %, air-dry"
    assert board.ready == "air-dry"


def test_no_date_beside_a_state_that_allows_none() -> None:
    said = made_line([State.GETTING_WETTER]).boards[0]
    assert BoardLine(said).ready == "no date while it gets wetter"


def test_advice_is_for_the_place() -> None:
    [indoors] = board_lines(made_line([State.DRYING], kind="heated"))
    assert indoors.place_kind == "heated"
    [nowhere] = board_lines(made_line([State.DRYING], place=None))
    assert nowhere.place_kind is None
