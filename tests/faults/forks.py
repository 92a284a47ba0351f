"""Processes of the service, forked from a server that has loaded the program, so that they begin at once."""

import multiprocessing
import os
from pathlib import Path

from service.__main__ import main

ROOT = Path(__file__).resolve().parents[2]
_FORKS = multiprocessing.get_context("forkserver")


def pipe():
    """A pipe from a process that is started here: the reading end and the writing one."""
    return _FORKS.Pipe(duplex=False)


def start(target, *arguments):
    """Start a process that calls the target."""
    os.environ["PYTHONPATH"] = str(ROOT)  # the server that forks finds the program by it
    _FORKS.set_forkserver_preload(["tests.faults.forks"])
    process = _FORKS.Process(target=target, args=arguments)
    process.start()
    return process


def run_command(*arguments, **settings):
    """Run a command of the service in this process, with these settings."""
    os.environ.update({f"AXLEFIT_{name.upper()}": str(value) for name, value in settings.items()})
    return main(list(arguments))
