"""The command line, on a database of the test's own."""

import pytest

from service.__main__ import main


@pytest.fixture
def run(monkeypatch, capsys):
    """Runs a command; its exit status, and what it printed on standard output and standard error."""

    def call(*arguments, on):
        monkeypatch.setenv("AXLEFIT_DATABASE_URL", f"sqlite:///{on}")
        status = main([str(argument) for argument in arguments])
        printed = capsys.readouterr()
        return status, printed.out, printed.err

    return call
