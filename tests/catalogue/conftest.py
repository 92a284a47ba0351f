"""What tests of the catalogue ask of a file."""

import pytest

from service.catalogue.snapshot import read_snapshot
from service.errors import ImportFaultsError
from service.store.database import Database
from service.store.schema import upgrade


@pytest.fixture(scope="session")
def unchanged(tmp_path_factory):
    """A database that faulty files are read for, and that stays empty."""
    database = Database(f"sqlite:///{tmp_path_factory.mktemp('unchanged') / 'empty.sqlite3'}", create=True)
    upgrade(database)
    yield database
    database.close()


@pytest.fixture
def faults_in(unchanged, import_csv):
    """The faults of a file, each as row, column, found, allowed."""

    def find(table, written):
        with pytest.raises(ImportFaultsError) as caught:
            import_csv(unchanged, table, written)
        return [
            (int(fault.path[0].removeprefix("row ")), fault.path[1], fault.found, fault.allowed)
            for fault in caught.value.faults
        ]

    return find


@pytest.fixture
def records_in(database, import_csv):
    """The records of a table after the import of a file, in the order of their keys."""

    def read(table, written):
        import_csv(database, table, written)
        return list(getattr(read_snapshot(database), table).values())

    return read
