"""The client as a partner gets it: a wheel of its own, installed where the service is not."""

import os
import re
import subprocess
import sys
import sysconfig
import tomllib
import venv
import zipfile
from pathlib import Path

import axlefit_client
import pytest

ROOT = Path(__file__).resolve().parents[2]
PROJECT = ROOT / "deploy" / "client"

# The service is asked for, so that the script fails where it could be had by accident.
SCRIPT = """\
import asyncio
import importlib.util
import sys

from axlefit_client import AsyncAxleFit, AxleFit
from axlefit_client.schemas import AxleRecord, FitsResponse, LookupRequest

assert importlib.util.find_spec("service") is None
assert importlib.util.find_spec("schemas") is None


def best(found: FitsResponse) -> tuple[str, float]:
    return found.fits[0].axle.sku, found.fits[0].fit_probability


frame = LookupRequest(fastening="threaded_wall", outside_width_mm=(36.4,), far_wall_mm=(6.0,), bore_mm=(8.0,))
with AxleFit(sys.argv[1]) as shop:
    sku, probability = best(shop.fits(frame))
    axle: AxleRecord = shop.get(AxleRecord, sku).record
    names: list[str] = [one.name for one in shop.axles(fastening="two_piece")]


async def again() -> tuple[str, float]:
    async with AsyncAxleFit(sys.argv[1]) as shop:
        skus: list[str] = [one.sku async for one in shop.axles(limit=50)]
        assert sku in skus
        return best(await shop.fits(frame))


assert asyncio.run(again()) == (sku, probability)
print(sku, axle.length_mm, len(names))
"""
# Each line is one that a type checker has to refuse, with what it says of it.
MISTAKES = {
    "found: int = shop.fits()": "Incompatible types in assignment",
    "shop.fits().fits[0].axle.colour + 1": "Unsupported",
    "shop.get(AxleRecord, 5)": "incompatible type",
    "shop.get(AxleRecord, 'A').record.wheels": "has no attribute",
    "shop.import_csv('wheels', b'')": "incompatible type",
    "shop.axles(None, None)": "Too many arguments",
    "LookupRequest(outside_width='36.4')": "Unexpected keyword argument",
}


def run(*command, **others):
    environment = {
        name: value for name, value in os.environ.items() if name not in {"PYTHONPATH", "MYPYPATH"}
    }
    done = subprocess.run(
        [str(word) for word in command],
        capture_output=True,
        text=True,
        check=False,
        env=environment,
        **others,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def wheel_of(source, folder):
    """The wheel that pip builds of a source, with what is installed here: nothing is fetched."""
    run(
        sys.executable,
        "-m",
        "pip",
        "wheel",
        "--no-build-isolation",
        "--no-deps",
        "--no-index",
        "-w",
        folder,
        source,
    )
    (wheel,) = folder.glob("axle_fit_client-*.whl")
    return wheel


@pytest.fixture(scope="module")
def wheel(tmp_path_factory):
    """The wheel, built of the checkout."""
    return wheel_of(PROJECT, tmp_path_factory.mktemp("wheel"))


@pytest.fixture(scope="module")
def partner(wheel, tmp_path_factory):
    """The Python of a partner, who has the wheel and what it depends on."""
    folder = tmp_path_factory.mktemp("partner")
    venv.create(folder, with_pip=False)
    python = folder / "bin" / "python"
    run(sys.executable, "-m", "pip", "--python", python, "install", "--no-deps", "--no-index", wheel)
    # The dependencies are those of this environment; it may have the service too, but only by a link that
    # is not followed from here.
    site_packages = run(python, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))").strip()
    (Path(site_packages) / "dependencies.pth").write_text(
        sysconfig.get_path("purelib") + "\n", encoding="utf-8"
    )
    return python


def test_the_wheel_has_the_client_the_schemas_and_the_marks_of_their_types(wheel):
    with zipfile.ZipFile(wheel) as opened:
        packed = {name: opened.read(name) for name in opened.namelist()}
    for file in (ROOT / "schemas").glob("*.py"):
        assert packed[f"axlefit_client/schemas/{file.name}"] == file.read_bytes()
    assert {"axlefit_client/py.typed", "axlefit_client/schemas/py.typed"} <= set(packed)
    assert {name.split("/")[0] for name in packed} == {
        "axlefit_client",
        f"axle_fit_client-{axlefit_client.__version__}.dist-info",
    }
    (licence,) = (content for name, content in packed.items() if name.endswith("/LICENSE"))
    assert licence == (ROOT / "LICENSE").read_bytes()


def test_the_wheel_needs_pydantic_and_httpx_and_nothing_else(wheel):
    with zipfile.ZipFile(wheel) as opened:
        (name,) = (name for name in opened.namelist() if name.endswith("/METADATA"))
        metadata = opened.read(name).decode()
    needed = re.findall(r"^Requires-Dist: ([a-z0-9-]+)", metadata, re.MULTILINE)
    assert sorted(needed) == ["httpx", "pydantic"]


def test_the_client_has_the_version_of_the_service():
    with (ROOT / "pyproject.toml").open("rb") as file:
        assert axlefit_client.__version__ == tomllib.load(file)["project"]["version"]


def test_a_source_archive_makes_the_same_wheel(wheel, tmp_path):
    run(sys.executable, "-m", "hatchling", "build", "-t", "sdist", "-d", tmp_path, cwd=PROJECT)
    (archive,) = tmp_path.glob("*.tar.gz")
    assert wheel_of(archive, tmp_path).read_bytes() == wheel.read_bytes()


def test_a_partners_script_runs_where_the_service_is_not(partner, real_service, tmp_path):
    script = tmp_path / "script.py"
    script.write_text(SCRIPT, encoding="utf-8")
    said = run(partner, script, real_service.url, cwd=tmp_path)
    assert re.fullmatch(r"TW8-\S+ 36\.0 \d+\n", said)


def test_a_type_checker_sees_the_types_of_a_partners_script(partner, tmp_path):
    (tmp_path / "script.py").write_text(SCRIPT, encoding="utf-8")
    run(sys.executable, "-m", "mypy", "--strict", "--python-executable", partner, "script.py", cwd=tmp_path)


def test_a_type_checker_finds_the_mistakes_of_a_partners_script(partner, tmp_path):
    imports = (
        "from axlefit_client import AxleFit\nfrom axlefit_client.schemas import AxleRecord, LookupRequest\n"
    )
    script = f"{imports}shop = AxleFit('http://shop.invalid')\n" + "".join(f"{line}\n" for line in MISTAKES)
    (tmp_path / "mistakes.py").write_text(script, encoding="utf-8")
    command = [sys.executable, "-m", "mypy", "--strict", "--python-executable", str(partner), "mistakes.py"]
    said = subprocess.run(command, capture_output=True, text=True, check=False, cwd=tmp_path).stdout
    for line, (mistake, told) in enumerate(MISTAKES.items(), start=4):
        assert re.search(rf"^mistakes\.py:{line}: error: .*{told}", said, re.MULTILINE), f"{mistake}\n{said}"
