"""The page that explains words, beginnings and cautions."""

from flask import Blueprint, render_template

from webapp.wood.uses import USES
from webapp.wording import STATE_MEANINGS

blueprint = Blueprint("help", __name__)


@blueprint.get("")
def show() -> str:
    """Show the help page."""
    return render_template("help/show.html", states=list(STATE_MEANINGS), uses=USES)
