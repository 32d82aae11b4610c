"""Held values may be destroyed, each only where an entry of the book says that it was erased.

The guard of ``held`` looks the erasing entry up and reads its bytes, so that a row of the index
``erasures`` alone opens nothing.  Updating ``held`` stays refused.
"""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")

SQLITE_GUARD = """
CREATE TRIGGER held_no_delete BEFORE DELETE ON held WHEN NOT EXISTS (
  SELECT 1 FROM erasures AS r
  JOIN entries AS h ON h.position = r.position
  JOIN entries AS e ON e.position = r.erased AND e.kind = 'held_erased'
  WHERE r.position = OLD.position AND r.field = OLD.field AND (
    (json_extract(CAST(e.bytes AS TEXT), '$.facts.entry') = lower(hex(h.leaf))
      AND json_extract(CAST(e.bytes AS TEXT), '$.facts.field') = OLD.field)
    OR (OLD.field = 'held_value' AND lower(hex(h.leaf)) IN (
      SELECT value FROM json_each(CAST(e.bytes AS TEXT), '$.facts.restated')))))
BEGIN SELECT RAISE(ABORT, 'the book is append-only'); END
"""

POSTGRES_GUARD = """
CREATE FUNCTION bronzebook_erased() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN
  IF NOT EXISTS (
    SELECT 1 FROM erasures AS r
    JOIN entries AS h ON h.position = r.position
    JOIN entries AS e ON e.position = r.erased AND e.kind = 'held_erased'
    CROSS JOIN LATERAL (SELECT convert_from(e.bytes, 'UTF8')::jsonb -> 'facts' AS facts) AS said
    WHERE r.position = OLD.position AND r.field = OLD.field AND (
      (facts ->> 'entry' = encode(h.leaf, 'hex') AND facts ->> 'field' = OLD.field)
      OR (OLD.field = 'held_value'
        AND COALESCE(facts -> 'restated', '[]') ? encode(h.leaf, 'hex')))
  ) THEN
    RAISE EXCEPTION 'the book is append-only';
  END IF;
  RETURN OLD;
END $$;
DROP TRIGGER held_no_change ON held;
CREATE TRIGGER held_no_change BEFORE UPDATE ON held
  FOR EACH ROW EXECUTE FUNCTION bronzebook_refuse();
CREATE TRIGGER held_only_erased BEFORE DELETE ON held
  FOR EACH ROW EXECUTE FUNCTION bronzebook_erased();
DO $$ BEGIN
  IF EXISTS (SELECT 1 FROM pg_roles WHERE rolname = 'bronzebook_clerk') THEN
    GRANT DELETE ON held TO bronzebook_clerk;
    GRANT SELECT, INSERT, UPDATE, DELETE ON erasures TO bronzebook_clerk;
  END IF;
END $$;
"""

# The server's statistics copy common values; a column "changed" to its own type loses them.
POSTGRES_STATISTICS = """
ALTER TABLE held ALTER COLUMN {c} TYPE bytea;
ALTER TABLE held ALTER COLUMN {c} SET STATISTICS 0;
"""


def upgrade() -> None:
    op.create_table(
        "erasures",
        sa.Column("position", WHOLE, nullable=False),
        sa.Column("field", sa.Text(), nullable=False),
        sa.Column("erased", WHOLE, nullable=False),
        sa.PrimaryKeyConstraint("position", "field", name="pk_erasures"),
        sqlite_strict=True,
    )
    if op.get_bind().dialect.name == "sqlite":
        op.execute("DROP TRIGGER held_no_delete")
        op.execute(SQLITE_GUARD)
    else:
        # The driver's own call: a question mark is an operator here, not a place for a value.
        op.get_bind().exec_driver_sql(POSTGRES_GUARD)
        for column in ("salt", "value"):
            op.execute(POSTGRES_STATISTICS.format(c=column))
