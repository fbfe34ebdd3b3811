"""First yard: places, logs, stacks, boards, meters, rounds, readings, and how they came in."""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql
from sqlalchemy.schema import SchemaItem

revision = "0001_first_yard"
down_revision = None
branch_labels = None
depends_on = None

LIVE = "struck_at IS NULL"
OPEN = "struck_at IS NULL AND until_on IS NULL"
SUBJECTS = (
    "(CASE WHEN log_id IS NULL THEN 0 ELSE 1 END)"
    " + (CASE WHEN board_id IS NULL THEN 0 ELSE 1 END)"
    " + (CASE WHEN stack_id IS NULL THEN 0 ELSE 1 END) = 1"
)
TABLES = [
    "batch",
    "change",
    "yard_effect",
    "place",
    "place_month",
    "log",
    "stack",
    "stack_stay",
    "board",
    "board_stay",
    "air",
    "witness_board",
    "meter",
    "round",
    "reading",
    "event",
]


def upgrade() -> None:
    _batches()
    _places()
    _logs()
    _stacks()
    _boards()
    _air()
    _witness_boards()
    _meters()
    _rounds()
    _readings()
    _events()


def downgrade() -> None:
    for table in reversed(TABLES):
        op.drop_table(table)


def _text(name: str, *, needed: bool = False) -> sa.Column[str]:
    return sa.Column(name, sa.String(), nullable=not needed)


def _number(name: str, *, needed: bool = False) -> sa.Column[float]:
    return sa.Column(name, sa.Double(), nullable=not needed)


def _whole(name: str, *, needed: bool = False) -> sa.Column[int]:
    return sa.Column(name, sa.Integer(), nullable=not needed)


def _day(name: str, *, needed: bool = False) -> sa.Column[object]:
    return sa.Column(name, sa.Date(), nullable=not needed)


def _moment(name: str, *, needed: bool = False) -> sa.Column[object]:
    return sa.Column(name, sa.DateTime(timezone=True), nullable=not needed)


def _truth(name: str, *, needed: bool = True) -> sa.Column[bool]:
    return sa.Column(name, sa.Boolean(), nullable=not needed)


def _uid(name: str) -> sa.Column[object]:
    return sa.Column(name, sa.Uuid(), nullable=False)


def _json(name: str, *, needed: bool = False) -> sa.Column[object]:
    kind = sa.JSON().with_variant(postgresql.JSONB(), "postgresql")
    return sa.Column(name, kind, nullable=not needed)


def _check(table: str, name: str, condition: str) -> sa.CheckConstraint:
    return sa.CheckConstraint(condition, name=op.f(f"ck_{table}_{name}"))


def _not_negative(table: str, *columns: str) -> list[sa.CheckConstraint]:
    return [_check(table, column, f"{column} >= 0") for column in columns]


def _words(table: str, column: str, *words: str) -> sa.CheckConstraint:
    listed = ", ".join(f"'{word}'" for word in words)
    return _check(table, column, f"{column} IN ({listed})")


def _links(table: str, **links: str) -> list[sa.ForeignKeyConstraint]:
    return [
        sa.ForeignKeyConstraint(
            [column], [f"{other}.id"], name=op.f(f"fk_{table}_{column}_{other}")
        )
        for column, other in links.items()
    ]


def _keys(table: str, *unique: str) -> list[sa.Constraint]:
    keys = [sa.UniqueConstraint(column, name=op.f(f"uq_{table}_{column}")) for column in unique]
    return [sa.PrimaryKeyConstraint("id", name=op.f(f"pk_{table}")), *keys]


def _record(table: str, *parts: SchemaItem, unique: tuple[str, ...] = (), **links: str) -> None:
    """Make a table of records: its own columns between those that all records have."""
    columns = [part for part in parts if isinstance(part, sa.Column)]
    rules = [part for part in parts if not isinstance(part, sa.Column)]
    op.create_table(
        table,
        _whole("id", needed=True),
        _uid("uid"),
        _moment("created_at", needed=True),
        _whole("batch_id", needed=True),
        *columns,
        _moment("struck_at"),
        _text("struck_by"),
        _text("struck_why"),
        *rules,
        *_links(table, batch_id="batch", **links),
        *_keys(table, "uid", *unique),
    )
    _index(table, "batch_id")


def _index(table: str, *columns: str) -> None:
    op.create_index(op.f(f"ix_{table}_{'_'.join(columns)}"), table, list(columns))


def _live_index(table: str, *columns: str, where: str = LIVE) -> None:
    name = op.f(f"ix_{table}_{'_'.join(columns)}_live")
    condition = sa.text(where)
    op.create_index(
        name,
        table,
        list(columns),
        unique=True,
        sqlite_where=condition,
        postgresql_where=condition,
    )


def _batches() -> None:
    op.create_table(
        "batch",
        _whole("id", needed=True),
        _uid("uid"),
        _text("kind", needed=True),
        _text("person"),
        _moment("at", needed=True),
        _text("file_hash"),
        _moment("undone_at"),
        *_keys("batch", "uid"),
    )
    _index("batch", "file_hash")
    op.create_table(
        "change",
        _whole("id", needed=True),
        _uid("uid"),
        _whole("batch_id", needed=True),
        _text("table_name", needed=True),
        _uid("row_uid"),
        _json("before", needed=True),
        _json("after", needed=True),
        *_links("change", batch_id="batch"),
        *_keys("change", "uid"),
    )
    _index("change", "batch_id")
    _index("change", "row_uid")
    op.create_table(
        "yard_effect",
        _whole("id", needed=True),
        _text("version", needed=True),
        _day("as_of", needed=True),
        _text("inputs_hash"),
        _moment("made_at", needed=True),
        _json("effects", needed=True),
        *_keys("yard_effect"),
        sa.UniqueConstraint("version", "as_of", name=op.f("uq_yard_effect_version_as_of")),
    )


def _places() -> None:
    _record(
        "place",
        _text("name", needed=True),
        _text("kind", needed=True),
        _text("air_of", needed=True),
        _words("place", "kind", "open_shed", "outdoors", "unheated", "heated", "chamber"),
        _words("place", "air_of", "place", "station"),
    )
    _live_index("place", "name")
    _record(
        "place_month",
        _whole("place_id", needed=True),
        _whole("month", needed=True),
        _number("temperature_c", needed=True),
        _number("rh_pct", needed=True),
        _check("place_month", "month", "month BETWEEN 1 AND 12"),
        _check("place_month", "rh_pct", "rh_pct BETWEEN 0 AND 100"),
        place_id="place",
    )
    _live_index("place_month", "place_id", "month")


def _logs() -> None:
    _record(
        "log",
        _text("mark", needed=True),
        _text("species", needed=True),
        _text("stood_at"),
        _text("stood_as"),
        _day("felled_on"),
        _day("sawn_on"),
        _number("length_mm"),
        _number("diameter_mm"),
        _day("ends_sealed_on"),
        _day("bark_off_on"),
        _text("insects"),
        _text("metal"),
        _text("decision"),
        _text("note"),
        *_not_negative("log", "length_mm", "diameter_mm"),
    )
    _live_index("log", "mark")


def _stacks() -> None:
    _record(
        "stack",
        _text("mark", needed=True),
        _text("code", needed=True),
        _text("name"),
        _number("stickers_mm"),
        _number("spacing_mm"),
        _text("kept_as"),
        _text("held_by"),
        _whole("board_count"),
        _number("target_pct"),
        _text("use"),
        _whole("visit_days"),
        _text("note"),
        *_not_negative("stack", "stickers_mm", "spacing_mm", "board_count", "target_pct"),
        unique=("code",),
    )
    _live_index("stack", "mark")
    _record(
        "stack_stay",
        _whole("stack_id", needed=True),
        _whole("place_id", needed=True),
        _day("from_on", needed=True),
        _day("until_on"),
        _check("stack_stay", "from_on_until_on", "until_on >= from_on"),
        stack_id="stack",
        place_id="place",
    )
    _index("stack_stay", "stack_id")
    _index("stack_stay", "place_id")
    _live_index("stack_stay", "stack_id", where=OPEN)


def _boards() -> None:
    _record(
        "board",
        _text("mark", needed=True),
        _text("code", needed=True),
        _text("species", needed=True),
        _number("thickness_mm", needed=True),
        _number("width_mm"),
        _number("width_end_mm"),
        _number("length_mm"),
        _text("grain"),
        _day("sawn_on"),
        _whole("log_id"),
        _text("turn"),
        _number("target_pct"),
        _text("borate"),
        _check("board", "thickness_mm", "thickness_mm > 0"),
        *_not_negative("board", "width_mm", "width_end_mm", "length_mm", "target_pct"),
        unique=("code",),
        log_id="log",
    )
    _index("board", "log_id")
    _live_index("board", "mark")
    _board_stays()


def _board_stays() -> None:
    _record(
        "board_stay",
        _whole("board_id", needed=True),
        _whole("stack_id"),
        _day("from_on", needed=True),
        _day("until_on"),
        _whole("layer"),
        _whole("position"),
        _text("why"),
        _check("board_stay", "from_on_until_on", "until_on >= from_on"),
        board_id="board",
        stack_id="stack",
    )
    _index("board_stay", "board_id")
    _index("board_stay", "stack_id")
    _live_index("board_stay", "board_id", where=OPEN)


def _air() -> None:
    _record(
        "air",
        _whole("place_id"),
        _whole("stack_id"),
        _moment("at", needed=True),
        _number("temperature_c", needed=True),
        _number("rh_pct", needed=True),
        _check("air", "one_subject", "(place_id IS NULL) <> (stack_id IS NULL)"),
        _check("air", "rh_pct", "rh_pct BETWEEN 0 AND 100"),
        place_id="place",
        stack_id="stack",
    )
    _index("air", "place_id")
    _index("air", "stack_id")


def _witness_boards() -> None:
    _record(
        "witness_board",
        _text("mark", needed=True),
        _whole("place_id", needed=True),
        _text("species", needed=True),
        _number("thickness_mm", needed=True),
        _day("known_dry_since"),
        _text("note"),
        _check("witness_board", "thickness_mm", "thickness_mm > 0"),
        place_id="place",
    )
    _index("witness_board", "place_id")
    _live_index("witness_board", "mark")


def _meters() -> None:
    _record(
        "meter",
        _text("name", needed=True),
        _text("kind", needed=True),
        _text("scale", needed=True),
        _text("temperature", needed=True),
        _number("over_range_pct"),
        _number("under_range_pct"),
        _number("needle_mm"),
        _truth("insulated", needed=False),
        _text("note"),
        _words("meter", "kind", "pin", "pinless"),
        _words("meter", "scale", "as_shown", "douglas_fir"),
        _words("meter", "temperature", "compensated", "not_compensated"),
        _check("meter", "under_range_pct_over_range_pct", "over_range_pct >= under_range_pct"),
        *_not_negative("meter", "needle_mm"),
    )
    _live_index("meter", "name")


def _rounds() -> None:
    _record(
        "round",
        _text("mark", needed=True),
        _whole("stack_id", needed=True),
        _moment("started_at", needed=True),
        _moment("ended_at"),
        _number("temperature_c"),
        _number("rh_pct"),
        _text("person"),
        _text("device"),
        _check("round", "started_at_ended_at", "ended_at >= started_at"),
        _check("round", "rh_pct", "rh_pct BETWEEN 0 AND 100"),
        stack_id="stack",
    )
    _index("round", "stack_id")
    _live_index("round", "mark")


def _readings() -> None:
    _record(
        "reading",
        _whole("board_id"),
        _whole("witness_board_id"),
        _whole("round_id"),
        _whole("meter_id"),
        _day("read_on", needed=True),
        _moment("read_at"),
        _moment("phone_at"),
        _text("shown", needed=True),
        _number("value"),
        _truth("over"),
        _truth("under"),
        _number("wood_temperature_c"),
        _text("depth"),
        _text("spot"),
        _whole("hit"),
        _text("note"),
        _text("read_by"),
        _whole("replaces_id"),
        _day("struck_on"),
        *_reading_rules(),
        board_id="board",
        witness_board_id="witness_board",
        round_id="round",
        meter_id="meter",
        replaces_id="reading",
    )
    _index("reading", "board_id", "read_on")
    _index("reading", "witness_board_id")
    _index("reading", "round_id")


def _reading_rules() -> list[sa.CheckConstraint]:
    return [
        _check("reading", "one_subject", "(board_id IS NULL) <> (witness_board_id IS NULL)"),
        _check("reading", "one_side", 'NOT ("over" AND under)'),
        _check("reading", "something_shown", 'value IS NOT NULL OR "over" OR under'),
        _words("reading", "depth", "shell", "quarter", "core", "mean"),
    ]


def _events() -> None:
    _record(
        "event",
        _whole("log_id"),
        _whole("board_id"),
        _whole("stack_id"),
        _text("kind", needed=True),
        _day("on_date", needed=True),
        _json("detail"),
        _truth("changes_air"),
        _check("event", "one_subject", SUBJECTS),
        log_id="log",
        board_id="board",
        stack_id="stack",
    )
    _index("event", "log_id")
    _index("event", "board_id")
    _index("event", "stack_id")
