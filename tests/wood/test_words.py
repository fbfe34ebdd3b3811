"""Texts made comparable."""

import pytest

from webapp.wood.words import words_of


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", ()),
        ("  Portland,\tOR ", ("portland", "or")),
        ("München", ("munchen",)),
        ("Mu\u0308nchen", ("munchen",)),
        ("Straße", ("strasse",)),
        ("Łódź Ærø", ("lodz", "aero")),
        ("O'Hare St. Paul’s", ("ohare", "st", "pauls")),
        ("مرحبا", ("مرحبا",)),
        ("!?🌲", ()),
    ],
)
def test_words(text: str, words: tuple[str, ...]) -> None:
    assert words_of(text) == words
