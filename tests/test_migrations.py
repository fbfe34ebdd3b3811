"""The steps from one version of the tables to the next."""

import ast
import re
from collections.abc import Iterator
from contextlib import closing
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, Inspector, func, inspect, select, text
from sqlalchemy.exc import OperationalError, ProgrammingError

import webapp
from tests.conftest import NEXT_STEP
from tests.make import A_MOMENT, make_board, make_place, make_stack
from webapp.problems import Busy, YardFileProblem
from webapp.records import Base, Batch, Database, Stack
from webapp.records.batch import open_batch
from webapp.records.upgrade import (
    ONE_AT_A_TIME,
    Standing,
    downgrade,
    known_revisions,
    migrations_folder,
    newest_revision,
    standing_of,
    upgrade,
)

PROJECT = Path(webapp.__file__).parents[1]
STEPS = sorted((PROJECT / "migrations" / "versions").glob("*.py"))
NAMES = {
    "pk": re.compile(r"pk_\w+"),
    "fk": re.compile(r"fk_\w+_id_\w+"),
    "uq": re.compile(r"uq_\w+"),
    "ck": re.compile(r"ck_\w+"),
    "ix": re.compile(r"ix_\w+"),
}


@pytest.fixture
def bare(bare_url: str) -> Iterator[Database]:
    """A database without tables."""
    with closing(Database(bare_url)) as database:
        yield database


def _settings() -> Config:
    return Config(toml_file=PROJECT / "pyproject.toml")


def test_steps_are_numbered_without_gaps() -> None:
    assert [step.name[:5] for step in STEPS] == [f"{n:04}_" for n in range(1, len(STEPS) + 1)]


def test_a_step_is_named_like_its_file() -> None:
    assert known_revisions() == [step.stem for step in STEPS]


def test_names_of_steps_fit_where_they_are_kept() -> None:
    assert max(len(step.stem) for step in STEPS) <= 32


def test_there_is_one_newest_step() -> None:
    steps = ScriptDirectory.from_config(_settings())
    assert steps.get_heads() == [STEPS[-1].stem] == [newest_revision()]
    assert len(steps.get_bases()) == 1


@pytest.mark.parametrize("step", STEPS, ids=lambda step: step.stem)
def test_a_step_never_imports_our_tables(step: Path) -> None:
    imported = [
        name
        for node in ast.walk(ast.parse(step.read_text()))
        for name in _imports(node)
        if name.split(".")[0] == "webapp"
    ]
    assert imported == []


def _imports(node: ast.AST) -> list[str]:
    if isinstance(node, ast.ImportFrom):
        return [node.module or ""]
    return [alias.name for alias in node.names] if isinstance(node, ast.Import) else []


def test_upgrade_from_nothing_and_back(bare: Database) -> None:
    assert standing_of(bare) is Standing.EMPTY
    upgrade(bare)
    assert standing_of(bare) is Standing.CURRENT
    assert _tables(bare) == set(Base.metadata.tables)
    downgrade(bare)
    assert standing_of(bare) is Standing.EMPTY
    assert _tables(bare) == set()
    upgrade(bare)
    assert _tables(bare) == set(Base.metadata.tables)


def test_every_step_goes_up_and_down_by_itself(bare: Database) -> None:
    for revision in known_revisions():
        upgrade(bare, revision)
        downgrade(bare, "-1")
        upgrade(bare, revision)
    assert standing_of(bare) is Standing.CURRENT


def _tables(database: Database) -> set[str]:
    return set(inspect(database.engine).get_table_names()) - {"alembic_version"}


def test_models_equal_tables(database: Database) -> None:
    with database.engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_server_default": True})
        assert compare_metadata(context, Base.metadata) == []


def test_the_command_beside_the_code_agrees(yard_url: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FLITCHBOOK_DATABASE", yard_url)
    said = StringIO()
    command.check(Config(toml_file=PROJECT / "pyproject.toml", stdout=said))
    assert "No new upgrade operations" in said.getvalue()


def test_rules_of_models_equal_rules_of_tables(bare: Database) -> None:
    """Compare checks and conditions of indexes too, which Alembic does not."""
    upgrade(bare)
    of_tables = _all_rules(bare)
    downgrade(bare)
    Base.metadata.create_all(bare.engine)
    assert _all_rules(bare) == of_tables


def _all_rules(database: Database) -> dict[str, dict[str, Any]]:
    found = inspect(database.engine)
    return {table: _rules(found, table) for table in Base.metadata.tables}


def _rules(found: Inspector, table: str) -> dict[str, Any]:
    named: dict[str, list[Any]] = {
        "ck": [(rule["name"], rule["sqltext"]) for rule in found.get_check_constraints(table)],
        "uq": [
            (rule["name"], rule["column_names"]) for rule in found.get_unique_constraints(table)
        ],
        "ix": [
            (
                rule["name"],
                rule["column_names"],
                rule["unique"],
                {key: str(value) for key, value in rule.get("dialect_options", {}).items()},
            )
            for rule in found.get_indexes(table)
        ],
        "fk": [
            (rule["name"], rule["constrained_columns"], rule["referred_table"])
            for rule in found.get_foreign_keys(table)
        ],
        "pk": [(found.get_pk_constraint(table)["name"], found.get_pk_constraint(table))],
    }
    return {kind: sorted(rules, key=str) for kind, rules in named.items()}


def test_every_rule_is_named_by_the_scheme(database: Database) -> None:
    for table, by_kind in _all_rules(database).items():
        for kind, rules in by_kind.items():
            for name, *_ in rules:
                # PostgreSQL lists the index behind a unique rule under the rule's own name.
                kinds = [kind, "uq"] if kind == "ix" else [kind]
                assert any(NAMES[each].fullmatch(str(name)) for each in kinds), (table, kind, name)
                assert f"_{table}_" in f"{name}_"


def test_an_old_yard_upgrades_with_all_that_is_in_it(bare: Database, next_step: Path) -> None:
    upgrade(bare, STEPS[-1].stem)
    with bare.writing() as session:
        open_batch(session, "form", "keeper", A_MOMENT)
        make_board(session, make_stack(session, make_place(session, name="Loft"), mark="W"))
    assert standing_of(bare) is Standing.BEHIND
    upgrade(bare)
    assert standing_of(bare) is Standing.CURRENT
    with bare.reading() as session:
        stack = session.scalars(select(Stack)).one()
        assert stack.stays[0].place.name == "Loft"
        assert session.execute(text("SELECT keeper FROM place")).all() == [("ann",)]
    downgrade(bare, STEPS[-1].stem)
    assert "keeper" not in {column["name"] for column in inspect(bare.engine).get_columns("place")}


def test_a_first_yard_keeps_its_batches(bare: Database) -> None:
    upgrade(bare, "0001_first_yard")
    uid = "018f4a5e00007000800000000000000a"
    with bare.engine.begin() as connection:
        wanted = "INSERT INTO batch (uid, kind, at) VALUES (:uid, 'import', '2024-05-04 09:30')"
        connection.execute(text(wanted), {"uid": uid})
    upgrade(bare)
    with bare.reading() as session:
        (batch,) = session.scalars(select(Batch))
        assert (batch.uid.hex, batch.kind, batch.undoes_uid) == (uid, "import", None)
    downgrade(bare, "0001_first_yard")
    with bare.engine.connect() as connection:
        assert connection.execute(text("SELECT kind FROM batch")).all() == [("import",)]


def test_foreign_keys_bite_again_after_an_upgrade(tmp_path: Path) -> None:
    with closing(Database(f"sqlite:///{tmp_path / 'yard.sqlite'}")) as database:
        upgrade(database)
        with database.reading() as session:
            assert session.scalar(text("PRAGMA foreign_keys")) == 1


def test_a_step_that_fails_changes_nothing(bare: Database, next_step: Path) -> None:
    upgrade(bare, STEPS[-1].stem)
    script = next_step.read_text()
    next_step.write_text(
        script.replace("\n\ndef downgrade", "    op.drop_table('nowhere')\n\n\ndef downgrade")
    )
    with pytest.raises((OperationalError, ProgrammingError), match="nowhere"):
        upgrade(bare)
    assert standing_of(bare) is Standing.BEHIND
    assert "keeper" not in {column["name"] for column in inspect(bare.engine).get_columns("place")}


def test_a_step_that_breaks_links_changes_nothing(tmp_path: Path, next_step: Path) -> None:
    script = next_step.read_text()
    next_step.write_text(
        script.replace(
            "\n\ndef downgrade", "    op.execute('DELETE FROM place')\n\n\ndef downgrade"
        )
    )
    with closing(Database(f"sqlite:///{tmp_path / 'yard.sqlite'}")) as database:
        upgrade(database, STEPS[-1].stem)
        with database.writing() as session:
            open_batch(session, "form", "keeper", A_MOMENT)
            make_stack(session)
        with pytest.raises(YardFileProblem, match="rows in place_month, stack_stay belong to"):
            upgrade(database)
        assert standing_of(database) is Standing.BEHIND
        with database.reading() as session:
            assert session.scalar(text("SELECT count(*) FROM place")) == 1


def test_how_a_database_stands(bare: Database) -> None:
    upgrade(bare)
    with bare.engine.begin() as connection:
        _write_revision(connection, "7777_from_the_future")
    assert standing_of(bare) is Standing.NEWER


def test_tables_of_something_else(bare: Database) -> None:
    with bare.engine.begin() as connection:
        connection.execute(text("CREATE TABLE song (title VARCHAR)"))
    assert standing_of(bare) is Standing.FOREIGN


def _write_revision(connection: Connection, revision: str) -> None:
    connection.execute(text("UPDATE alembic_version SET version_num = :new"), {"new": revision})


def test_an_installed_package_carries_the_steps(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(webapp, "__file__", str(tmp_path / "webapp" / "__init__.py"))
    (tmp_path / "webapp").mkdir()
    assert migrations_folder() == tmp_path / "migrations"
    (tmp_path / "webapp" / "migrations").mkdir()
    assert migrations_folder() == tmp_path / "webapp" / "migrations"


def test_the_next_step_is_newest_where_it_is_asked_for(next_step: Path) -> None:
    assert newest_revision() == NEXT_STEP


@pytest.mark.postgres
def test_two_upgrades_of_a_server_take_turns(bare_postgresql_url: str) -> None:
    with (
        closing(Database(bare_postgresql_url)) as first,
        closing(Database(bare_postgresql_url, busy_wait_s=0.2)) as second,
        first.engine.begin() as connection,
    ):
        connection.execute(select(func.pg_advisory_xact_lock(ONE_AT_A_TIME)))
        with pytest.raises(Busy):
            upgrade(second)
        connection.rollback()
        upgrade(second)
        assert standing_of(first) is Standing.CURRENT
