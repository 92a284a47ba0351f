"""The settings as the environment has them: everything that is wrong with them is told at once.

A secret may stand in a file: ``AXLEFIT_KEY_PEPPER_FILE`` names one that holds what ``AXLEFIT_KEY_PEPPER``
would. What a secret is, or was meant to be, is never shown.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from schemas.problems import FaultOfField, faults_of, unknown_name
from service.errors import SettingsError
from service.production import production_faults
from service.settings import PREFIX, Settings

IN_FILES = ("database_url", "key_pepper", "cursor_secret")
"""The settings that hold a secret, and that may stand in a file each."""
_FILE = "_file"
_NOT_SHOWN = "a value that is not shown"


def read_settings() -> Settings:
    """The settings of the environment.

    Raises
    ------
    SettingsError
        If any is wrong; it tells all of them at once.
    """
    given = {name.upper(): value for name, value in os.environ.items() if name.upper().startswith(PREFIX)}
    from_files, faults = _from_files(given)
    faults += _unknown(given)
    settings, of_values = _checked(from_files, {_field_of(fault) for fault in faults})
    faults += of_values
    if settings.environment == "production":
        wrong = {_field_of(fault) for fault in faults}
        faults += [fault for fault in production_faults(settings) if str(fault.path[0]) not in wrong]
    if faults:
        raise SettingsError("The settings are wrong.", [_by_variable(fault) for fault in faults])
    return settings


def _checked(values: dict[str, Any], told: set[str]) -> tuple[Settings, list[FaultOfField]]:
    """The settings, those that are wrong with their defaults; and what is wrong if not told already."""
    try:
        return Settings(**values), []
    except ValidationError as error:
        faults = [_without_secret(fault) for fault in faults_of(error, Settings)]
    wrong = {str(fault.path[0]) for fault in faults}
    defaults = {name: Settings.model_fields[name].default for name in wrong}
    settings, others = _checked(values | defaults, told)  # what only shows once the rest is right
    return settings, [fault for fault in faults if str(fault.path[0]) not in told] + others


def _from_files(given: Mapping[str, str]) -> tuple[dict[str, Any], list[FaultOfField]]:
    """The secrets that stand in files, and what is wrong with these files."""
    found: dict[str, Any] = {}
    faults: list[FaultOfField] = []
    for name in IN_FILES:
        variable = PREFIX + (name + _FILE).upper()
        path = given.get(variable)
        if path is None:
            continue
        if PREFIX + name.upper() in given:
            allowed = f"not beside {PREFIX}{name.upper()}: one of the two"
            faults.append(FaultOfField(path=(name + _FILE,), found="both", allowed=allowed))
        try:
            found[name] = Path(path).read_text(encoding="utf-8").strip()
        except (OSError, ValueError):
            allowed = "a file that can be read, in UTF-8"
            faults.append(FaultOfField(path=(name + _FILE,), found=path, allowed=allowed))
    return found, faults


def _unknown(given: Mapping[str, str]) -> list[FaultOfField]:
    """The variables that are no setting: a mistyped one would be passed over in silence."""
    names = [*Settings.model_fields, *(name + _FILE for name in IN_FILES)]
    known = [PREFIX + name.upper() for name in names]
    return [
        FaultOfField(path=(name.removeprefix(PREFIX),), found=name, allowed=unknown_name(name, known))
        for name in given
        if name not in known
    ]


def _field_of(fault: FaultOfField) -> str:
    """The setting that a fault is about, whether it stands in a variable or in a file."""
    name = str(fault.path[0]).removesuffix(_FILE)
    return name if name in Settings.model_fields else ""


def _without_secret(fault: FaultOfField) -> FaultOfField:
    """The fault without what was found, where that was meant to be a secret."""
    return fault.model_copy(update={"found": _NOT_SHOWN}) if fault.path[0] in IN_FILES else fault


def _by_variable(fault: FaultOfField) -> FaultOfField:
    """The fault as the operator knows it, by the name of its variable."""
    return fault.model_copy(update={"path": (PREFIX + str(fault.path[0]).upper(),)})
