"""Our own scripts and style, and Plotly's script out of its Python package, each kept for good.

Every address names the version of what it brings, so a browser asks once and never again.
"""

from __future__ import annotations

import gzip
import hashlib
from functools import cache
from importlib import resources
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING

import brotli
import plotly
from flask import Blueprint, Response, request, url_for

from webapp.problems import NotFound

if TYPE_CHECKING:
    from flask import Flask

STATIC = Path(__file__).parents[1] / "static"
FOR_GOOD = "public, max-age=31536000, immutable"
BROTLI_QUALITY = 9  # the next step saves 8 % more and takes nine times as long
_one_at_a_time = Lock()

blueprint = Blueprint("assets", __name__)


@blueprint.get("/plotly/<version>/plotly.min.js")
def chart_script(version: str) -> Response:
    """Bring the Plotly script of the installed package, compressed as the browser likes."""
    if version != plotly.__version__:
        raise NotFound("This is not the version of the chart script that is installed here.")
    liked = request.accept_encodings.best_match(["br", "gzip"])
    with _one_at_a_time:  # two first visitors would else compress it twice
        body = compressed_script(liked)
    response = Response(body, mimetype="text/javascript")
    response.headers["Cache-Control"] = FOR_GOOD
    response.headers["Vary"] = "Accept-Encoding"
    if liked:
        response.headers["Content-Encoding"] = liked
    return response


@cache
def compressed_script(encoding: str | None) -> bytes:
    """Return the chart script, compressed once in the life of a process."""
    script = resources.files(plotly).joinpath("package_data", "plotly.min.js").read_bytes()
    if encoding == "br":
        return bytes(brotli.compress(script, quality=BROTLI_QUALITY))
    return gzip.compress(script, mtime=0) if encoding == "gzip" else script


@cache
def version_of(name: str) -> str:
    """Return a short mark of a static file's content."""
    return hashlib.sha256((STATIC / name).read_bytes()).hexdigest()[:12]


def asset(name: str) -> str:
    """Return the address of one of our own files, with its version."""
    return url_for("static", filename=name, v=version_of(name))


def plotly_address() -> str:
    """Return the address of the chart script, with its version."""
    return url_for("assets.chart_script", version=plotly.__version__)


def register(app: Flask) -> None:
    """Let templates name assets, and browsers keep those asked for by their version."""
    app.register_blueprint(blueprint)
    app.jinja_env.globals.update(asset=asset, plotly_address=plotly_address)
    app.after_request(_keep_for_good)


def _keep_for_good(response: Response) -> Response:
    if request.endpoint == "static" and response.status_code < 400:  # noqa: PLR2004  HTTP's first error
        named = request.args.get("v") == version_of((request.view_args or {})["filename"])
        response.headers["Cache-Control"] = FOR_GOOD if named else "no-cache"
    elif request.endpoint != "assets.chart_script":
        # Yesterday's verdict must not be shown as today's.
        response.headers.setdefault("Cache-Control", "no-store")
    return response
