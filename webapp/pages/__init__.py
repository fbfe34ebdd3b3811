"""The pages: every blueprint and where its addresses begin."""

from __future__ import annotations

from typing import TYPE_CHECKING

from webapp.pages import assets, boards, help, readings, stacks, template_words, trouble, yard  # noqa: A004  a page's name

if TYPE_CHECKING:
    from flask import Flask


def register(app: Flask) -> None:
    """Join all pages to the application."""
    template_words.register(app)
    assets.register(app)
    trouble.register(app)
    app.register_blueprint(yard.blueprint)
    app.register_blueprint(stacks.blueprint, url_prefix="/stacks")
    app.register_blueprint(boards.blueprint, url_prefix="/boards")
    app.register_blueprint(readings.blueprint, url_prefix="/readings")
    app.register_blueprint(help.blueprint, url_prefix="/help")
