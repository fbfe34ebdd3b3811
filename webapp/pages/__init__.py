"""The pages: every blueprint and where its addresses begin."""

from __future__ import annotations

from typing import TYPE_CHECKING

from webapp.pages import (
    assets,
    board_forms,
    board_moves,
    boards,
    data,
    demo,
    help,  # noqa: A004  a page's name
    history,
    meters,
    new_boards,
    place_air,
    places,
    readings,
    round,  # noqa: A004  a page's name
    settings_page,
    stack_forms,
    stacks,
    template_words,
    trouble,
    witnesses,
    yard,
)

if TYPE_CHECKING:
    from flask import Flask


def register(app: Flask) -> None:
    """Join all pages to the application."""
    template_words.register(app)
    assets.register(app)
    trouble.register(app)
    app.register_blueprint(yard.blueprint)
    app.register_blueprint(demo.blueprint)
    app.register_blueprint(stacks.blueprint, url_prefix="/stacks")
    app.register_blueprint(stack_forms.blueprint, url_prefix="/stacks")
    app.register_blueprint(round.blueprint, url_prefix="/stacks")
    app.register_blueprint(new_boards.blueprint, url_prefix="/stacks")
    app.register_blueprint(boards.blueprint, url_prefix="/boards")
    app.register_blueprint(board_forms.blueprint, url_prefix="/boards")
    app.register_blueprint(board_moves.of_board, url_prefix="/boards")
    app.register_blueprint(board_moves.of_stack, url_prefix="/stacks")
    app.register_blueprint(readings.blueprint, url_prefix="/readings")
    app.register_blueprint(places.blueprint, url_prefix="/places")
    app.register_blueprint(place_air.blueprint, url_prefix="/places")
    app.register_blueprint(witnesses.blueprint, url_prefix="/witnesses")
    app.register_blueprint(meters.blueprint, url_prefix="/meters")
    app.register_blueprint(history.blueprint, url_prefix="/history")
    app.register_blueprint(data.blueprint, url_prefix="/data")
    app.register_blueprint(settings_page.blueprint, url_prefix="/settings")
    app.register_blueprint(help.blueprint, url_prefix="/help")
