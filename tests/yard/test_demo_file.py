from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from webapp.problems import Conflict, Problem
from webapp.records import Database
from webapp.yard.demo_file import (
    build_beside,
    demo_file,
    is_of_day,
    make_demo,
    put_in_place,
)
from webapp.yard.keep_file import open_yard

TODAY, TOMORROW = date(2026, 5, 31), date(2026, 6, 1)
NOW = datetime(2026, 5, 31, 9, tzinfo=UTC)


def nothing(_database: Database, _today: date, _at: datetime) -> None:
    """Build an empty yard."""


def test_a_real_yard_is_left_alone(tmp_path: Path) -> None:
    file = tmp_path / "yard.sqlite"
    open_yard(f"sqlite:///{file}").close()
    with pytest.raises(Conflict, match="not made by the demo"):
        demo_file(f"sqlite:///{file}")


def test_it_wants_a_file() -> None:
    with pytest.raises(Problem, match="sqlite:///FILE"):
        demo_file("postgresql://host/yard")


def test_it_is_known_again_with_its_day(tmp_path: Path) -> None:
    file = demo_file(f"sqlite:///{tmp_path / 'demo.sqlite'}")
    assert not is_of_day(file, TODAY)
    make_demo(file, nothing, TODAY, NOW)
    assert demo_file(f"sqlite:///{file}") == file
    assert is_of_day(file, TODAY)
    assert not is_of_day(file, TOMORROW)
    file.unlink()
    assert not is_of_day(file, TODAY)


def test_one_that_fails_half_way_leaves_the_last_one(tmp_path: Path) -> None:
    file = tmp_path / "demo.sqlite"
    make_demo(file, nothing, TODAY, NOW)
    before = file.read_bytes()

    def fail(_database: Database, _today: date, _at: datetime) -> None:
        raise Problem("half way")

    with pytest.raises(Problem, match="half way"):
        make_demo(file, fail, TODAY, NOW)
    assert file.read_bytes() == before
    make_demo(file, nothing, TODAY, NOW)
    assert not list(tmp_path.glob("*.new*"))


def test_one_whose_placing_stopped_half_way_is_made_anew(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    url = f"sqlite:///{tmp_path / 'demo.sqlite'}"
    fresh = build_beside(demo_file(url), nothing, TODAY, NOW)
    replace, stopped = Path.replace, False

    def stop_after(path: Path, target: Path) -> Path:
        nonlocal stopped
        replace(path, target)
        stopped = True
        raise KeyboardInterrupt

    monkeypatch.setattr(Path, "replace", stop_after)
    with pytest.raises(KeyboardInterrupt):
        put_in_place(fresh, demo_file(url), TODAY)
    assert stopped
    assert demo_file(url).exists()
    assert not is_of_day(demo_file(url), TODAY)
