"""The command `flitchbook`: one function a command; what a command needs is imported inside it."""

from __future__ import annotations

import sys
from contextlib import contextmanager
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from webapp.problems import Problem, RefusedFolder

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from webapp.problems import Refusal
    from webapp.records.database import Database
    from webapp.settings import Settings

    Progress = Callable[[int, int], None]

MOST_REFUSALS_SHOWN = 200
BAD_INPUT = 2
PORTS = click.IntRange(0, 65535)


class Trouble(click.ClickException):
    """Ends a command with a message and the status for bad input."""

    exit_code = BAD_INPUT


class Commands(click.Group):
    """Runs a command and turns the troubles we raise on purpose into messages."""

    def invoke(self, ctx: click.Context) -> Any:  # noqa: ANN401  as click has it
        """Run the command; what cannot be done ends in one clear message."""
        from webapp.settings import BadSetting

        try:
            return super().invoke(ctx)
        except Problem as problem:
            raise Trouble(_message(problem)) from problem
        except BadSetting as error:
            raise Trouble(str(error)) from error
        except BrokenPipeError:
            raise
        except OSError as error:
            what = f"{error.filename}: " if error.filename else ""
            raise Trouble(f"{what}{error.strerror or error}") from error


class IsoDate(click.ParamType[date]):
    """A day written as year-month-day."""

    name = "DATE"

    def convert(
        self,
        value: Any,  # noqa: ANN401  as click has it
        param: click.Parameter | None,
        ctx: click.Context | None,
    ) -> date:
        """Take 2026-05-31 and nothing else."""
        from webapp.entry.dates import day
        from webapp.entry.fields import Unreadable

        if isinstance(value, date):
            return value
        try:
            return day(value)
        except Unreadable as error:
            self.fail(f"{error}.", param, ctx)


database_option = click.option(
    "--database",
    metavar="URL",
    help="The yard, as sqlite:///FILE or postgresql://...; else FLITCHBOOK_DATABASE, "
    "else one file in your own data folder.",
)
port_option = click.option(
    "--port", type=PORTS, metavar="N", help="The port to serve at; else FLITCHBOOK_PORT, else 8000."
)


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="flitchbook", prog_name="flitchbook")
def main() -> None:
    """Keep the moisture log of drying stacks: what was read, what it means, when wood is fit."""


@main.command()
@port_option
@database_option
def serve(port: int | None, database: str | None) -> None:
    """Serve the yard's pages to this computer, at 127.0.0.1."""
    from seed_demo import build
    from webapp.demo_door import DemoDoor
    from webapp.serving import serve_yard
    from webapp.settings import demo_url

    settings = _settings(database_url=database, port=port)
    invented = replace(settings, database_url=demo_url())
    serve_yard(settings, click.echo, DemoDoor(invented, build))


@main.command()
@port_option
@click.option("--database", metavar="URL", help="Another file for the invented yard.")
def demo(port: int | None, database: str | None) -> None:
    """Serve an invented yard, from a file of its own.

    It is made anew each day it is started, so that its two years of readings end today. Your own
    yard is not touched: FLITCHBOOK_DATABASE is not looked at.
    """
    from seed_demo import build
    from webapp import clock
    from webapp.serving import serve_demo
    from webapp.settings import demo_url

    settings = _settings(database_url=database or demo_url(), port=port)
    serve_demo(settings, click.echo, build, clock.today(), clock.now())


@main.command("import")
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))
@database_option
def import_folder(folder: Path, database: str | None) -> None:
    """Take in a folder of CSV files: all of it, or nothing."""
    from webapp import clock
    from webapp.yard.take_in_folder import take_in_folder

    with (
        _yard(database, create=True) as yard,
        _progress("Importing") as progress,
        yard.writing() as session,
    ):
        now, today = clock.now(), clock.today()
        taken = take_in_folder(session, folder, at=now, today=today, progress=progress)
    click.echo(taken)
    click.echo("The yard is as it was." if taken.new == 0 else "All of it is in the yard.")


@main.command("export")
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))
@database_option
def export_folder(folder: Path, database: str | None) -> None:
    """Write the whole yard as a folder of CSV files, which `import` takes in again."""
    from webapp.exports import write_folder
    from webapp.yard.gather_folder import gather_folder

    with _yard(database) as yard:
        with yard.reading() as session:
            frames = gather_folder(session)
        write_folder(frames, folder)
    click.echo(f"Wrote {len(frames)} files to {folder}.")


@main.command()
@click.option("--stacks", is_flag=True, help="One row a stack instead of one a board.")
@click.option(
    "--as-of",
    "days",
    type=IsoDate(),
    multiple=True,
    metavar="DATE",
    help="What was known on this day, nothing dated later; may be given again. Else today.",
)
@click.option(
    "--format",
    "shape",
    type=click.Choice(["table", "csv", "json"]),
    default="table",
    show_default=True,
)
@database_option
def verdict(stacks: bool, days: tuple[date, ...], shape: str, database: str | None) -> None:  # noqa: FBT001  click passes it so
    """Say what is known about every board, or every stack."""
    from webapp import clock

    with _yard(database) as yard:
        said = _judge(yard, days or (clock.today(),), stacks=stacks)
    click.echo(_sheet(said, shape, stacks=stacks), nl=False)


@main.command()
@database_option
def refit(database: str | None) -> None:
    """Work out all fits and the yard's own effects anew."""
    from webapp import clock
    from webapp.yard.work_out import refit_yard

    with _yard(database) as yard, _progress("Fitting") as progress, yard.writing() as session:
        refit_yard(session, clock.today(), progress)
    click.echo("All fits are new.")


@main.command()
@database_option
def upgrade(database: str | None) -> None:
    """Bring a database to the form this version uses; an SQLite file also does so at start."""
    from webapp.yard.keep_file import upgrade_yard

    settings = _settings(database_url=database)
    _expect_file(settings)
    upgrade_yard(settings.database_url)
    click.echo("The yard is in the form this version uses.")


def _settings(**given: Any) -> Settings:
    from webapp.settings import Settings

    return Settings.from_environment(**given)


@contextmanager
def _yard(address: str | None, *, create: bool = False) -> Iterator[Database]:
    from webapp.yard.keep_file import open_yard

    settings = _settings(database_url=address)
    if not create:
        _expect_file(settings)
    yard = open_yard(settings.database_url)
    try:
        yield yard
    finally:
        yard.close()


def _expect_file(settings: Settings) -> None:
    file = settings.database_file
    if file and not file.exists():
        sentence = f"There is no yard at {file} yet: `flitchbook import` or `serve` makes one."
        raise Trouble(sentence)


def _judge(yard: Database, days: Sequence[date], *, stacks: bool) -> list[Any]:
    from webapp.yard.judge_stack import judge_yard

    said: list[Any] = []
    with yard.reading() as session, _progress("Judging") as progress:
        for done, day in enumerate(days, start=1):
            judged = judge_yard(session, day)
            said += judged.stacks if stacks else judged.boards
            progress(done, len(days))
    return said


def _sheet(said: list[Any], shape: str, *, stacks: bool) -> str:
    from webapp import verdict_sheet as sheet

    if shape == "table":
        if stacks:
            return sheet.as_table(sheet.STACK_TABLE, map(sheet.stack_line, said))
        return sheet.as_table(sheet.BOARD_TABLE, map(sheet.board_line, said))
    write = sheet.as_csv if shape == "csv" else sheet.as_json
    if stacks:
        return write(sheet.STACK_COLUMNS, map(sheet.stack_row, said))
    return write(sheet.BOARD_COLUMNS, map(sheet.board_row, said))


@contextmanager
def _progress(label: str) -> Iterator[Progress]:
    """Give a function that is told how much is done of how much; drawn on a terminal only."""
    if not sys.stderr.isatty():
        yield lambda _done, _whole: None
        return
    with click.progressbar(length=1, label=label, file=sys.stderr) as bar:

        def tell(done: int, whole: int) -> None:
            bar.length = max(whole, 1)
            bar.update(done - bar.pos)

        yield tell


def _message(problem: Problem) -> str:
    if not isinstance(problem, RefusedFolder):
        return problem.sentence
    lines = [_refusal_line(refusal) for refusal in problem.refusals[:MOST_REFUSALS_SHOWN]]
    more = len(problem.refusals) - len(lines)
    if more > 0:
        lines.append(f"... and {more} more")
    return "\n".join([problem.sentence, *lines])


def _refusal_line(refusal: Refusal) -> str:
    place = refusal.file if refusal.line is None else f"{refusal.file}:{refusal.line}"
    parts = [place, refusal.column, refusal.sentence]
    return ": ".join(part for part in parts if part)
