"""Every parser fuzzed with atheris, guided by coverage: what comes is read or refused, and nothing breaks.

    pip install atheris
    python tests/faults/fuzz_parsers.py --seconds 600

Each parser runs in a process of its own. What it must keep stands in its function in `fuzzed.py`.
"""

import argparse
import re
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

PARSERS = ("csv", "ndjson", "thread", "cursor", "headers", "json")


def fuzz(parser, seconds):
    """Fuzz one parser in this process; libFuzzer ends it."""
    import atheris  # noqa: PLC0415 (only this command needs it)

    with atheris.instrument_imports(include=["service", "schemas"]):
        from tests.faults import fuzzed  # noqa: PLC0415 (what is fuzzed is instrumented while it is imported)
    held, seeds = fuzzed.TARGETS[parser]()
    with tempfile.TemporaryDirectory(prefix="axlefit-fuzz-") as folder:
        for number, seed in enumerate(seeds):
            (Path(folder) / str(number)).write_bytes(seed)
        limits = [f"-max_total_time={seconds}", "-max_len=4096", "-timeout=20", f"-artifact_prefix={folder}/"]
        atheris.Setup([sys.argv[0], folder, *limits], held)
        atheris.Fuzz()


def run(parser, seconds):
    """The number of inputs that a parser was given, and what broke it; None if nothing did."""
    command = [sys.executable, __file__, "--parser", parser, "--seconds", str(seconds)]
    ended = subprocess.run(command, capture_output=True, text=True, errors="replace", check=False)
    told = ended.stdout + ended.stderr
    counts = re.findall(r"^Done (\d+) runs", told, re.MULTILINE)
    return int(counts[-1]) if counts else 0, None if ended.returncode == 0 else told[-4000:]


def main():
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--parser", choices=PARSERS)
    arguments.add_argument("--seconds", type=int, default=600)
    chosen = arguments.parse_args()
    if chosen.parser:
        fuzz(chosen.parser, chosen.seconds)
    broken = False
    for parser in PARSERS:
        inputs, fault = run(parser, chosen.seconds)
        print(f"{parser:8} {inputs:9,} inputs in {chosen.seconds} s: {fault or 'nothing broke'}", flush=True)
        broken |= fault is not None or inputs == 0
    sys.exit(broken)


if __name__ == "__main__":
    main()
