"""The application factory: joins the parts, and decides nothing else."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Flask, Response
from flask_wtf import CSRFProtect
from markupsafe import escape
from werkzeug.exceptions import SecurityError

from webapp import pages
from webapp.yard import keep_file

if TYPE_CHECKING:
    from webapp.records.database import Database
    from webapp.settings import Settings

MOST_UPLOADED_BYTES = 64 * 1024 * 1024

# Plotly adds two style elements: an empty one, filled through the style sheet's own functions, and
# one for maps, which we never draw; these are the hashes of the two, so they let in nothing else.
PLOTLY_STYLES = (
    "'sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU='",
    "'sha256-ji27qzEtxXZW+7dun6UwjHXJ18e6WAin1VvNtkzIE/o='",
)
CONTENT_SECURITY_POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        f"style-src 'self' {' '.join(PLOTLY_STYLES)}",
        "img-src 'self' data: blob:",
        "font-src 'self'",
        "connect-src 'self'",
        "manifest-src 'self'",
        "worker-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
HEADERS = {
    "Content-Security-Policy": CONTENT_SECURITY_POLICY,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(self), geolocation=(), microphone=()",
}
STRANGE_NAME = """<!doctype html>
<html lang="en">
<title>Flitchbook</title>
<h1>Flitchbook does not answer to this name</h1>
<p>It answers to: {names}. Open one of these addresses on the computer it runs on.</p>
</html>
"""


def create_app(
    settings: Settings,
    database: Database | None = None,
    *,
    invented: bool = False,
    mount: str = "",
) -> Flask:
    """Make the application that serves one yard; an open database may be handed in.

    An invented yard says so on every page; one that is mounted under one's own names the way out.
    """
    app = Flask(__name__)
    app.config.from_mapping(
        SECRET_KEY=settings.signing_key(),
        TRUSTED_HOSTS=list(settings.hosts),
        MAX_CONTENT_LENGTH=MOST_UPLOADED_BYTES,
        # Cookies know no ports: the demo and a real yard beside it must not share one.
        SESSION_COOKIE_NAME=f"flitchbook{mount.replace('/', '_')}_{settings.port}",
        SESSION_COOKIE_PATH=mount or "/",
        SESSION_COOKIE_SAMESITE="Lax",
        WTF_CSRF_TIME_LIMIT=None,
        INVENTED=invented,
        WAY_OUT="/" if mount else "",
        DEMO_OFFERED=False,
    )
    app.extensions["database"] = database or keep_file.open_yard(settings.database_url)
    CSRFProtect(app)
    pages.register(app)
    _refuse_strange_names(app, settings.hosts)
    app.after_request(_add_headers)
    return app


def _refuse_strange_names(app: Flask, hosts: tuple[str, ...]) -> None:
    """Answer other Host names with a page of its own: no link could be built for them."""
    names = ", ".join(str(escape(host)) for host in hosts)

    def refuse(_error: SecurityError) -> tuple[str, int]:
        return STRANGE_NAME.format(names=names), SecurityError.code

    app.register_error_handler(SecurityError, refuse)


def _add_headers(response: Response) -> Response:
    for name, value in HEADERS.items():
        response.headers.setdefault(name, value)
    return response
