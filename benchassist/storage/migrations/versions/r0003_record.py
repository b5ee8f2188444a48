"""Procedures and causes once for all visits, when a visit closed, marks, photos, leases.

Every header is parted from its procedure and its causes, in the words in which it stood; what
cannot be read stays as it is. A migration stands by itself: it imports nothing of the program,
which moves on.
"""

import hashlib
import json
from collections.abc import Iterator

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

PORTION = 200
"""Visits held in memory at a time."""

NEW_KINDS = ("part_marked", "photo_added", "photo_removed")
"""Entries that a program of the revision before cannot read."""

KEEP = "INSERT INTO frozen (digest, body) VALUES (:digest, :body) ON CONFLICT DO NOTHING"

PART = """
UPDATE visit SET header = :header, procedure_digest = :procedure_digest,
  causes_digest = :causes_digest,
  closed_at = (
    SELECT CASE entry.kind WHEN 'closed' THEN entry.at END FROM entry
    WHERE entry.visit_id = visit.id AND entry.kind IN ('closed', 'reopened')
    ORDER BY entry.seq DESC LIMIT 1
  )
WHERE id = :id
"""

MACHINE_TEXTS = ("tag", "customer", "phone", "unit", "engine", "serial", "engine_class")


def upgrade() -> None:
    _make_tables()
    op.add_column("visit", sa.Column("procedure_digest", sa.String(64)))
    op.add_column("visit", sa.Column("causes_digest", sa.String(64)))
    op.add_column("visit", sa.Column("closed_at", sa.DateTime(timezone=True)))
    _part_headers(op.get_bind())
    with op.batch_alter_table("visit") as visit:
        visit.alter_column("procedure_digest", existing_type=sa.String(64), nullable=False)
        for column in ("procedure_digest", "causes_digest"):
            visit.create_foreign_key(f"fk_visit_{column}_frozen", "frozen", [column], ["digest"])
        visit.create_index("ix_visit_closed_at", ["closed_at"])
    with op.batch_alter_table("machine") as machine:
        machine.drop_column("search")
        machine.add_column(sa.Column("erased_at", sa.DateTime(timezone=True)))


def _make_tables() -> None:
    op.create_table(
        "frozen",
        sa.Column("digest", sa.String(64), nullable=False),
        sa.Column("body", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("digest", name="pk_frozen"),
    )
    op.create_table(
        "part_mark",
        sa.Column("entry_id", sa.String(36), nullable=False),
        sa.Column("visit_id", sa.String(36), nullable=False),
        sa.Column("target_id", sa.String(36), nullable=False),
        sa.Column("check_key", sa.Text, nullable=False),
        sa.Column("good", sa.Boolean, nullable=False),
        sa.Column("reason", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("entry_id", name="pk_part_mark"),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name="fk_part_mark_entry_id_entry"),
        sa.ForeignKeyConstraint(["visit_id"], ["visit.id"], name="fk_part_mark_visit_id_visit"),
    )
    for column in ("visit_id", "target_id", "check_key"):
        op.create_index(f"ix_part_mark_{column}", "part_mark", [column])
    op.create_table(
        "photo",
        sa.Column("digest", sa.String(64), nullable=False),
        sa.Column("media", sa.String(32), nullable=False),
        sa.Column("size", sa.Integer, nullable=False),
        sa.Column("thumbnail", sa.LargeBinary, nullable=False),
        sa.PrimaryKeyConstraint("digest", name="pk_photo"),
    )
    op.create_table(
        "lease",
        sa.Column("visit_id", sa.String(36), nullable=False),
        sa.Column("bench", sa.Text, nullable=False),
        sa.Column("holder", sa.String(36), nullable=False),
        sa.Column("token", sa.Integer, nullable=False),
        sa.Column("since", sa.DateTime(timezone=True), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("visit_id", name="pk_lease"),
    )
    op.create_index("ix_lease_expires_at", "lease", ["expires_at"])


def _portions(bind: sa.Connection, table: str, columns: str) -> Iterator[list[sa.RowMapping]]:
    """All rows of a table by their ids, a portion at a time; each may be changed meanwhile."""
    asked = sa.text(
        f"SELECT id, {columns} FROM {table} WHERE id > :last ORDER BY id LIMIT {PORTION}"  # noqa: S608 - names of our own
    )
    last = ""
    while rows := bind.execute(asked, {"last": last}).mappings().all():
        yield list(rows)
        last = rows[-1]["id"]


def _part_headers(bind: sa.Connection) -> None:
    whole, done = int(bind.scalar(sa.text("SELECT count(*) FROM visit")) or 0), 0
    for rows in _portions(bind, "visit", "header"):
        bodies: dict[str, str] = {}
        visits = [{"id": row["id"]} | _parted(row["header"], bodies) for row in rows]
        bind.execute(sa.text(KEEP), [{"digest": d, "body": b} for d, b in bodies.items()])
        bind.execute(sa.text(PART), visits)
        done += len(rows)
        # The tables that are built anew after it take a tenth as long.
        _tell(done, whole + whole // 10)


def _tell(done: int, whole: int) -> None:
    """Say how far it is to whoever has it brought up; what that raises undoes it."""
    config = op.get_context().config
    told = config.attributes.get("told") if config is not None else None
    if told is not None:
        told(revision, done, whole)


def _parted(header: str, bodies: dict[str, str]) -> dict[str, str | None]:
    """A header's columns; the texts they name go into `bodies`."""
    try:
        own = json.loads(header)
    except ValueError:
        own = None
    if not isinstance(own, dict):
        # Kept as it stands: a visit that could not be read cannot be read now either.
        nothing = _frozen(None, bodies)
        return {"header": header, "procedure_digest": nothing, "causes_digest": None}
    procedure, causes = own.pop("procedure", None), own.pop("causes", None)
    own.setdefault("apart_of", "")
    return {
        "header": _text(own),
        "procedure_digest": _frozen(procedure, bodies),
        "causes_digest": None if causes is None else _frozen(causes, bodies),
    }


def _frozen(part: object, bodies: dict[str, str]) -> str:
    body = _text(part)
    digest = hashlib.sha256(body.encode()).hexdigest()
    bodies[digest] = body
    return digest


def _text(data: object) -> str:
    return json.dumps(data, ensure_ascii=False, separators=(",", ":"))


def downgrade() -> None:
    """Only where nothing is lost: a shop with marks, photos or erased machines stays as it is."""
    bind = op.get_bind()
    _refuse_loss(bind)
    for rows in _portions(bind, "visit", "header, procedure_digest, causes_digest"):
        bind.execute(
            sa.text("UPDATE visit SET header = :header WHERE id = :id"),
            [{"id": row["id"], "header": _joined(bind, row)} for row in rows],
        )
    with op.batch_alter_table("visit") as visit:
        visit.drop_index("ix_visit_closed_at")
        for column in ("procedure_digest", "causes_digest"):
            visit.drop_constraint(f"fk_visit_{column}_frozen", type_="foreignkey")
            visit.drop_column(column)
        visit.drop_column("closed_at")
    op.add_column("machine", sa.Column("search", sa.Text, nullable=False, server_default=""))
    for rows in _portions(bind, "machine", ", ".join(MACHINE_TEXTS)):
        bind.execute(
            sa.text("UPDATE machine SET search = :search WHERE id = :id"),
            [{"id": row["id"], "search": _search(row)} for row in rows],
        )
    with op.batch_alter_table("machine") as machine:
        machine.alter_column("search", existing_type=sa.Text, server_default=None)
        machine.drop_column("erased_at")
    for table in ("lease", "photo", "part_mark", "frozen"):
        op.drop_table(table)


def _refuse_loss(bind: sa.Connection) -> None:
    kinds = ", ".join(f"'{kind}'" for kind in NEW_KINDS)
    for what, asked in {
        "marks or photos": f"SELECT 1 FROM entry WHERE kind IN ({kinds})",  # noqa: S608 - our own
        "photos": "SELECT 1 FROM photo",
        "erased machines": "SELECT 1 FROM machine WHERE erased_at IS NOT NULL",
        "visits kept apart": 'SELECT 1 FROM visit WHERE header LIKE \'%"apart_of":"%\' '
        'AND header NOT LIKE \'%"apart_of":""%\'',
    }.items():
        if bind.execute(sa.text(f"{asked} LIMIT 1")).first() is not None:
            raise ValueError(f"the shop holds {what}, which revision 0002 cannot")


def _joined(bind: sa.Connection, row: sa.RowMapping) -> str:
    """A header with its procedure and causes where they stood."""
    try:
        own = json.loads(row["header"])
    except ValueError:
        own = None
    if not isinstance(own, dict):
        return str(row["header"])
    own.pop("apart_of", None)
    header: dict[str, object] = {}
    for name, value in own.items():
        header[name] = value
        if name == "interview":
            header["procedure"] = _thawed(bind, row["procedure_digest"])
    return _text(header | {"causes": _thawed(bind, row["causes_digest"])})


def _thawed(bind: sa.Connection, digest: str | None) -> object:
    asked = sa.text("SELECT body FROM frozen WHERE digest = :digest")
    body = bind.execute(asked, {"digest": digest}).scalar()
    return None if body is None else json.loads(body)


def _search(row: sa.RowMapping) -> str:
    digits = "".join(letter for letter in row["phone"] if letter.isdigit())
    return "\n".join([*(row[name] for name in MACHINE_TEXTS), digits]).casefold()
