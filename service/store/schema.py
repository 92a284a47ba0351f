"""The database's schema: what version it has, and how it is brought up to date."""

from __future__ import annotations

from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory

from service.errors import SchemaVersionError
from service.store.database import Database

_MIGRATIONS = Path(__file__).parent / "migrations"


def upgrade(database: Database) -> None:
    """Bring the database's schema up to this release, by the migrations that it lacks."""
    with database.writing() as session:
        config = _config()
        config.attributes["connection"] = session.connection()
        command.upgrade(config, "head")


def schema_version(database: Database) -> str | None:
    """The version of the database's schema, None where it has none yet."""
    with database.reading() as session:
        return MigrationContext.configure(session.connection()).get_current_revision()


def require_current(database: Database) -> None:
    """Refuse a database of another schema, and say which command to run."""
    found = schema_version(database)
    wanted = ScriptDirectory.from_config(_config()).get_current_head()
    if found != wanted:
        raise SchemaVersionError(
            f"The database has schema version {found or 'none'}, this release works with {wanted}. "
            "Run: python -m service upgrade"
        )


def _config() -> Config:
    config = Config()
    config.set_main_option("script_location", str(_MIGRATIONS))
    config.set_main_option("path_separator", "os")
    return config
