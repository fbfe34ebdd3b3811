from __future__ import annotations

from functools import partial
from threading import Event, Semaphore, Thread

import pytest

from webapp.yard.recall import Recall


def test_it_remembers_the_last_few() -> None:
    recall: Recall[int] = Recall(room=2)
    made: list[str] = []

    def ask(name: str) -> int:
        def work_out() -> int:
            made.append(name)
            return len(made)

        return recall.of(name, work_out)

    assert [ask(name) for name in "aba"] == [1, 2, 1]
    assert ask("c") == 3
    assert ask("a") == 1
    assert ask("b") == 4
    assert made == ["a", "b", "c", "b"]


def test_what_was_asked_lately_is_kept_longest() -> None:
    recall: Recall[str] = Recall(room=3)
    for name in "abcad":
        assert recall.of(name, partial(str, name)) == name
    assert list(recall._kept) == ["c", "a", "d"]


def test_nothing_is_an_answer_too() -> None:
    recall: Recall[None] = Recall(room=1)
    asked: list[str] = []

    def find_nothing() -> None:
        asked.append("x")

    for _ in range(2):
        recall.of("x", find_nothing)
    assert asked == ["x"]


def test_two_who_ask_at_once_wait_for_one_answer() -> None:
    recall: Recall[int] = Recall(room=2)
    begun, go = Semaphore(0), Event()
    answers: list[int] = []
    made: list[int] = []

    def slowly() -> int:
        begun.release()
        go.wait(5)
        made.append(1)
        return len(made)

    threads = [Thread(target=lambda: answers.append(recall.of("x", slowly))) for _ in range(2)]
    for thread in threads:
        thread.start()
    assert begun.acquire(timeout=5)
    # The other one does not begin as well, however long the first one takes.
    assert not begun.acquire(timeout=0.2)
    go.set()
    for thread in threads:
        thread.join(5)
    assert answers == [1, 1]


def test_what_failed_is_asked_again() -> None:
    recall: Recall[int] = Recall(room=2)
    with pytest.raises(ZeroDivisionError):
        recall.of("x", lambda: 1 // 0)
    assert recall.of("x", lambda: 7) == 7
