"""The house rules hold: lint, format, types, import contracts, sizes, sources of constants."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
CODE = sorted(
    path
    for folder in ("service", "schemas", "deploy", "tests", "seed_data")
    for path in (ROOT / folder).rglob("*.py")
)
BIN = Path(sys.executable).parent


@pytest.mark.parametrize(
    "command",
    [
        ["ruff", "check", "."],
        ["ruff", "format", "--check", "."],
        ["mypy"],
        ["lint-imports"],
    ],
    ids=lambda command: "-".join(command[:2]),
)
def test_the_code_keeps_the_rules_of(command):
    run = subprocess.run(
        [BIN / command[0], *command[1:]], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert run.returncode == 0, run.stdout + run.stderr


@pytest.mark.parametrize("path", CODE, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_a_module_is_short_enough_to_read_at_one_sitting(path):
    most = 400 if "tests" in path.relative_to(ROOT).parts else 300
    assert len(path.read_text(encoding="utf-8").splitlines()) <= most


def test_a_function_is_short_enough_to_see_at_once():
    long = [
        f"{path.relative_to(ROOT)}:{node.lineno} {node.name}"
        for path in CODE
        if "migrations" not in path.parts and "tests" not in path.relative_to(ROOT).parts
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef) and _body_lines(node) > 40
    ]
    assert long == []


def _body_lines(node):
    first = node.body[1] if ast.get_docstring(node) and len(node.body) > 1 else node.body[0]
    return node.end_lineno - first.lineno + 1


def test_no_module_has_a_name_that_says_nothing():
    empty_names = {"utils", "helpers", "common", "misc", "manager", "handler", "processor", "data", "info"}
    assert [path for path in CODE if path.stem in empty_names] == []


def test_every_constant_of_the_fit_model_has_a_source_on_the_line_above():
    lines = (ROOT / "service/engine/constants.py").read_text(encoding="utf-8").splitlines()
    tree = ast.parse("\n".join(lines))
    assignments = [node for node in tree.body if isinstance(node, ast.Assign | ast.AnnAssign)]
    unsourced = [lines[n.lineno - 1] for n in assignments if not lines[n.lineno - 2].startswith("# Source: ")]
    assert assignments
    assert unsourced == []


def test_numbers_of_the_model_stand_in_the_constants_and_nowhere_else_in_the_engine():
    allowed = {0, 0.5, 1, 2, 3, 4, 1000}  # of formulas, roundings, indices and unit prefixes
    strange = [
        f"{path.relative_to(ROOT)}:{node.lineno} {node.value}"
        for path in (ROOT / "service/engine").rglob("*.py")
        if path.stem != "constants"
        for node in _numbers(ast.parse(path.read_text(encoding="utf-8")))
        if node.value not in allowed
    ]
    assert strange == []


def _numbers(tree):
    """The numbers in a module, the sizes of caches aside."""
    sizes = {id(n.value) for n in ast.walk(tree) if isinstance(n, ast.keyword) and n.arg == "maxsize"}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and type(node.value) in {int, float} and id(node) not in sizes:
            yield node


def test_the_top_level_holds_only_what_the_design_card_names():
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)  # noqa: S607
    if listed.returncode:
        pytest.skip("not a git checkout")
    top = {name.split("/")[0] for name in listed.stdout.splitlines()}
    allowed = {
        "README.md", "DEVELOPERS.md", "pyproject.toml", "LICENSE",
        "service", "schemas", "tests", "seed_data", "deploy",
    }  # fmt: skip
    assert {name for name in top if not name.startswith(".")} <= allowed
