"""The engine's docstrings hold what a physical formula owes its reader, and their examples run."""

import ast
import doctest
import importlib
import inspect
import pkgutil
import re
import warnings

import pytest
from numpydoc.docscrape import FunctionDoc

import service.engine
from service.engine.checks.case import Case

MODULES = [
    importlib.import_module(module.name)
    for module in pkgutil.walk_packages(service.engine.__path__, prefix="service.engine.")
]
FUNCTIONS = {
    f"{module.__name__.removeprefix('service.engine.')}.{name}": function
    for module in MODULES
    for name, member in inspect.getmembers(module, callable)
    if inspect.isfunction(function := inspect.unwrap(member))  # a cached one is wrapped
    and function.__module__ == module.__name__
    and not name.startswith("_")
}
CLASSES = {
    f"{module.__name__.removeprefix('service.engine.')}.{name}": kind
    for module in MODULES
    for name, kind in inspect.getmembers(module, inspect.isclass)
    if kind.__module__ == module.__name__ and not name.startswith("_")
}
NUMBER = re.compile(r"\b(float|int|Quantity)\b")
"""A parameter that is a number, several, or a number with its uncertainty."""
NO_MEASURE = re.compile(r"\b(Verdict|Outcome|Judgement|NearMiss|bool|str)\b")
UNIT = re.compile(r"\[[^\]\s]+\]")
SENTENCE = re.compile(r"[A-ZÀ-Þ].*[.:]", re.DOTALL)
SOURCE = re.compile(r"\d|common practice, no source", re.IGNORECASE)
"""An edition, a year or a clause; or the admission that there is none."""


def parameters_of(function):
    return list(inspect.signature(function).parameters.values())


def is_check(function):
    """A check is a function of a case: its docstring is the clause that is true or not."""
    return [p.annotation for p in parameters_of(function)] == [Case.__name__]


def numbers_of(function):
    """The parameters that are numbers."""
    return [p.name for p in parameters_of(function) if NUMBER.search(str(p.annotation))]


def returned_by(function):
    return str(inspect.signature(function).return_annotation)


# Functions that take or give numbers; formulas give measures for numbers, no verdict nor judgements.
WITH_NUMBERS = {
    name: function
    for name, function in FUNCTIONS.items()
    if not is_check(function) and (numbers_of(function) or NUMBER.search(returned_by(function)))
}
FORMULAS = {
    name: function
    for name, function in WITH_NUMBERS.items()
    if numbers_of(function) and not NO_MEASURE.search(returned_by(function))
}


def document_of(function):
    with warnings.catch_warnings():
        warnings.simplefilter("error")  # a section that numpydoc does not know
        return FunctionDoc(function)


def described(document):
    """Each parameter's description, by its name; several names may share one."""
    return {
        name.strip(): " ".join(parameter.desc)
        for parameter in document["Parameters"]
        for name in parameter.name.split(",")
    }


def raises_in_body(function):
    tree = ast.parse(inspect.getsource(function))
    return any(isinstance(node, ast.Raise) for node in ast.walk(tree))


every_function = pytest.mark.parametrize("function", FUNCTIONS.values(), ids=list(FUNCTIONS))
every_function_of_numbers = pytest.mark.parametrize("function", WITH_NUMBERS.values(), ids=list(WITH_NUMBERS))
every_formula = pytest.mark.parametrize("function", FORMULAS.values(), ids=list(FORMULAS))


# --- every function and class --------------------------------------------------------------------


@every_function
def test_the_docstring_says_in_one_sentence_what_the_function_means(function):
    summary = " ".join(document_of(function)["Summary"])
    assert SENTENCE.fullmatch(summary), f"{summary!r} is no sentence"
    assert not re.search(r"[.!?] [A-Z]", summary), f"{summary!r} is more than one sentence"


@pytest.mark.parametrize("kind", CLASSES.values(), ids=list(CLASSES))
def test_the_docstring_says_what_the_value_is(kind):
    first = inspect.cleandoc(kind.__doc__ or "").split("\n\n")[0]
    assert SENTENCE.fullmatch(first), f"{first!r} is no sentence"


@pytest.mark.parametrize(
    "function",
    [f for f in FUNCTIONS.values() if raises_in_body(f)],
    ids=[name for name, f in FUNCTIONS.items() if raises_in_body(f)],
)
def test_the_docstring_says_what_the_function_raises_and_when(function):
    raises = document_of(function)["Raises"]
    assert raises
    assert all(error.type and error.desc for error in raises)


# --- functions of numbers ------------------------------------------------------------------------


@every_function_of_numbers
def test_the_docstring_names_the_parameters_of_the_signature_in_their_order(function):
    assert list(described(document_of(function))) == [p.name for p in parameters_of(function)]


@every_function_of_numbers
def test_each_number_has_its_unit_in_the_docstring(function):
    descriptions = described(document_of(function))
    assert [name for name in numbers_of(function) if not UNIT.search(descriptions.get(name, ""))] == []


@every_function_of_numbers
def test_the_docstring_says_what_is_returned(function):
    returns = document_of(function)["Returns"]
    assert len(returns) == 1
    assert returns[0].type
    assert returns[0].desc


@every_function_of_numbers
def test_the_docstring_names_its_source_or_that_there_is_none(function):
    references = " ".join(document_of(function)["References"])
    assert SOURCE.search(references), f"{references!r} names no source"


@every_formula
def test_what_a_formula_returns_has_its_unit_in_the_docstring(function):
    returned = " ".join(" ".join(value.desc) for value in document_of(function)["Returns"])
    assert UNIT.search(returned), f"{returned!r} names no unit"


@every_formula
def test_the_docstring_says_within_which_limits_a_formula_is_valid(function):
    extended = " ".join(document_of(function)["Extended Summary"])
    assert re.search(r"\bvalid\b", extended, re.IGNORECASE), f"{extended!r} names no limits of validity"


@every_formula
def test_the_docstring_has_a_worked_example_of_a_formula(function):
    examples = "\n".join(document_of(function)["Examples"])
    assert ">>>" in examples, "no example"


# --- examples ------------------------------------------------------------------------------------


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__)
def test_the_examples_of_the_docstrings_run_as_shown(module):
    assert doctest.testmod(module).failed == 0


def test_the_engine_has_functions_checks_and_examples_to_hold_to_this():
    checks = [name for name, function in FUNCTIONS.items() if is_check(function)]
    examples = [doctest.DocTestFinder().find(module) for module in MODULES]
    assert len(FORMULAS) >= 20
    assert "checks.bending.shaft_bears_rider" in checks
    assert sum(len(test.examples) for tests in examples for test in tests) >= 20
