"""Commands that serve: the service itself, and the demonstration."""

from __future__ import annotations

import argparse
import logging
from contextlib import ExitStack

from schemas.lookup import LookupRequest
from service.app import create_app
from service.catalogue.records import TABLES
from service.catalogue.snapshot import read_snapshot
from service.catalogue.transfer import import_tables
from service.commands.database import current_database
from service.commands.table import print_answer
from service.errors import SettingsError
from service.fitting.lookup import look_up
from service.production import production_warnings
from service.settings import SEED_DATA, Settings
from service.store.database import Database
from service.store.schema import require_current, schema_version, upgrade
from service.web.logs import configure_logs
from service.web.serving import serve

_LOG = logging.getLogger("axlefit")

DEMO_LOOKUP = LookupRequest(
    fastening="threaded_wall",
    outside_width_mm=(36.4,),
    far_wall_mm=(6.0,),
    bore_mm=(8.0,),
    thread="M8x1.25",
    limit=3,
    near_misses=1,
)


def add_commands(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the commands of this module to the command line."""
    serving = commands.add_parser("serve", help="serve the API")
    serving.set_defaults(run=_serve)
    demo = commands.add_parser("demo", help="one lookup in the demonstration catalogue, then serve it")
    demo.set_defaults(run=_demo)


def _serve(_arguments: argparse.Namespace, settings: Settings) -> None:
    with current_database(settings):
        pass  # told here, in a sentence, and not by the server's start
    configure_logs(settings)
    if settings.environment == "production":
        for warning in production_warnings(settings):
            _LOG.warning("%s", warning)
    serve(create_app(settings), settings)


def _demo(arguments: argparse.Namespace, settings: Settings) -> None:
    if settings.environment == "production":
        raise SettingsError("The demonstration does not run in production: it would serve an invented shop.")
    database = Database(settings.database_url, create=True)
    if schema_version(database) is None:  # no file yet, or one that is empty
        upgrade(database)
    require_current(database)
    if read_snapshot(database).revision == 0:  # never written to
        load_demonstration(database)
    print("One lookup, GET /v1/fits; the demonstration catalogue is that of an invented shop:\n")
    query = "&".join(f"{k}={_plain(v)}" for k, v in DEMO_LOOKUP.model_dump(exclude_defaults=True).items())
    print(f"  curl 'http://{settings.host}:{settings.port}/v1/fits?{query}'\n")
    print_answer(look_up(DEMO_LOOKUP, read_snapshot(database)))
    database.close()
    if "log_format" not in settings.model_fields_set:  # somebody looks on
        settings = settings.model_copy(update={"log_format": "text"})
    _serve(arguments, settings)


def load_demonstration(database: Database) -> None:
    """Read the demonstration catalogue into a database, all tables at once."""
    with ExitStack() as opened:
        files = {name: opened.enter_context((SEED_DATA / f"{name}.csv").open("rb")) for name in TABLES}
        import_tables(database, files, actor="demonstration")


def _plain(value: object) -> str:
    return f"{value[0]:g}" if isinstance(value, tuple) else str(value)
