"""The yard's data: all of it out as files, files in, a backup, and verdicts for a spreadsheet."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path
from shutil import copyfileobj
from tempfile import SpooledTemporaryFile, TemporaryDirectory
from typing import IO, TYPE_CHECKING, NamedTuple, cast

from flask import Blueprint, redirect, render_template, request, send_file, url_for

from webapp import clock, verdict_sheet, wording
from webapp.entry.folder import FILES, RH_COLUMNS, TEMPERATURE_COLUMNS
from webapp.exports import zip_folder
from webapp.pages.alike import group_alike
from webapp.pages.import_words import what_came
from webapp.pages.request_context import database, person, today
from webapp.pages.sending import SEE_OTHER, say
from webapp.problems import Conflict, Problem, Refused, RefusedFolder
from webapp.yard.back_up import copy_yard
from webapp.yard.gather_folder import gather_folder
from webapp.yard.judge_stack import judge_yard
from webapp.yard.take_in_folder import take_in_folder
from webapp.yard.unpack_upload import Sent, unpack_upload

if TYPE_CHECKING:
    from collections.abc import Sequence

    from werkzeug import Response

    from webapp.entry.folder import FileKind
    from webapp.pages.alike import Alike
    from webapp.yard.judge_stack import YardVerdict
    from webapp.yard.take_in_folder import TakenIn

_ = wording.translation.gettext

# A zip as large as this is made on the disk.
_IN_MEMORY = 8_000_000
_MOST_GROUPS = 60

blueprint = Blueprint("data", __name__)


class FileNeeds(NamedTuple):
    """A file and the columns it cannot do without."""

    name: str
    columns: str


@blueprint.get("")
def show() -> str:
    """Show what can be taken out and brought in."""
    return _page()


@blueprint.get("/yard.zip")
def export() -> Response:
    """Bring the whole yard as a zip of its CSV files."""
    with database().reading() as session:
        frames = gather_folder(session)
    written = _scratch()
    name = f"flitchbook-{today()}"
    zip_folder(frames, name, today(), written)
    return _download(written, f"{name}.zip", "application/zip")


@blueprint.get("/backup.sqlite")
def back_up() -> Response:
    """Bring a copy of the yard's file that was proved whole."""
    file = database().file
    if file is None:
        raise Conflict(
            _(
                "This yard lies in a PostgreSQL database: back it up with that server's own "
                "tools. The CSV files hold everything, too."
            )
        )
    with TemporaryDirectory() as folder:
        copy = Path(folder) / "backup.sqlite"
        copy_yard(file, copy)
        written = _scratch()
        with copy.open("rb") as opened:
            copyfileobj(opened, written)
    return _download(written, f"flitchbook-backup-{today()}.sqlite", "application/vnd.sqlite3")


@blueprint.get("/boards.csv")
def boards() -> Response:
    """Bring what is known of every board today, as a spreadsheet."""
    rows = map(verdict_sheet.board_row, _judged().boards)
    return _sheet("boards", verdict_sheet.as_csv(verdict_sheet.BOARD_COLUMNS, rows))


@blueprint.get("/stacks.csv")
def stacks() -> Response:
    """Bring what is known of every stack today, as a spreadsheet."""
    rows = map(verdict_sheet.stack_row, _judged().stacks)
    return _sheet("stacks", verdict_sheet.as_csv(verdict_sheet.STACK_COLUMNS, rows))


@blueprint.post("")
def take_in() -> Response | str | tuple[str, int]:
    """Take in a zip or CSV files: all of it, or nothing."""
    sent = [
        Sent(file.filename, file.stream) for file in request.files.getlist("files") if file.filename
    ]
    try:
        taken = _take_in(sent)
    except RefusedFolder as refused:
        trouble = _("Nothing was taken in. Correct what is listed below, and send it again.")
        return _page(trouble, refused=group_alike(refused.refusals)), refused.status
    except Problem as problem:
        return _page(problem.sentence), problem.status
    with database().reading() as session:
        said = what_came(session, taken)
    say(said, taken.batch.uid if taken.batch else None, url_for("data.show"))
    if taken.notes:
        return _page(remarks=group_alike(taken.notes))
    return redirect(url_for("data.show"), SEE_OTHER)


def _take_in(sent: list[Sent]) -> TakenIn:
    if not sent:
        raise Refused(_("Choose a zip, or the CSV files."))
    with TemporaryDirectory() as folder:
        refused = unpack_upload(sent, Path(folder))
        with database().writing() as session:
            return take_in_folder(
                session, Path(folder), clock.now(), today(), person=person(), refused=refused
            )


def _page(trouble: str = "", refused: Sequence[Alike] = (), remarks: Sequence[Alike] = ()) -> str:
    return render_template(
        "data/show.html",
        trouble=trouble,
        refused=refused[:_MOST_GROUPS],
        remarks=remarks[:_MOST_GROUPS],
        more=max(len(refused), len(remarks)) - _MOST_GROUPS,
        in_file=database().file is not None,
        files=[FileNeeds(file.name, _needed(file)) for file in FILES],
    )


def _needed(file: FileKind) -> str:
    names = ", ".join(column.name for column in file.columns if column.needed)
    for months in (TEMPERATURE_COLUMNS, RH_COLUMNS):
        some = _("%(first)s to %(last)s") % {"first": months[0], "last": months[-1]}
        names = names.replace(", ".join(months), some)
    return names


def _judged() -> YardVerdict:
    with database().reading() as session:
        return judge_yard(session, today())


def _sheet(name: str, text: str) -> Response:
    return _download(BytesIO(text.encode()), f"flitchbook-{name}-{today()}.csv", "text/csv")


def _scratch() -> IO[bytes]:
    """Give a file without a name, which is gone when it was sent."""
    return cast("IO[bytes]", SpooledTemporaryFile(_IN_MEMORY))


def _download(written: IO[bytes], name: str, mimetype: str) -> Response:
    written.seek(0)
    response = send_file(written, mimetype=mimetype, as_attachment=True, download_name=name)
    response.headers["Cache-Control"] = "no-store"
    return response
