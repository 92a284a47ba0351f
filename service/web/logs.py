"""Log lines: one JSON object an event, or text for people; never what a caller has sent."""

from __future__ import annotations

import logging
import logging.config
import time
import traceback
from collections.abc import Mapping
from contextlib import nullcontext
from functools import lru_cache
from json.encoder import encode_basestring_ascii
from typing import Any, TextIO

from pythonjsonlogger.core import RESERVED_ATTRS
from pythonjsonlogger.json import JsonFormatter

from service.settings import Settings
from service.web.tracing import current_trace

_OURS = "axlefit"
_TEXT = "%(asctime)s %(levelname)s %(name)s %(message)s%(of_request)s"
_JSON = {"asctime": "time", "levelname": "level", "name": "logger", "message": "message"}
# `color_message` is the server's line with the codes of a terminal in it.
_LEFT_OUT = [*RESERVED_ATTRS, "color_message", "of_request"]


def configure_logs(settings: Settings) -> None:
    """Send every line that this process logs to its standard error, warnings of Python too."""
    formats = {
        "json": {"()": f"{__name__}.JsonLines"},
        "text": {"()": f"{__name__}.TextLines"},
    }
    level = settings.log_level.upper()
    logging.config.dictConfig(
        {
            "version": 1,
            "disable_existing_loggers": False,
            "filters": {"request": {"()": f"{__name__}.OfRequest"}},
            "formatters": formats,
            "handlers": {
                "stderr": {
                    "()": f"{__name__}.Lines",
                    "formatter": settings.log_format,
                    "filters": ["request"],
                }
            },
            # Libraries tell details of what they do, so that only their warnings are wanted.
            "root": {"level": max(level, "WARNING", key=logging.getLevelName), "handlers": ["stderr"]},
            "loggers": {name: {"level": level} for name in (_OURS, "uvicorn")},
        }
    )
    logging.captureWarnings(capture=True)


class Lines(logging.StreamHandler[TextIO]):
    """Lines on standard error; one whose fields are simple can be written without a record of it."""

    def write(self, logger: str, message: str, fields: dict[str, Any]) -> None:
        """Write a line of level INFO as the formatter writes it, at a tenth of the cost."""
        trace = current_trace()
        of_request = (
            {}
            if trace is None
            else {"request_id": trace.request_id, "trace_id": trace.trace_id, "span_id": trace.span_id}
        )
        line = {"time": _now(), "level": "INFO", "logger": logger, "message": message, **fields, **of_request}
        with self.lock or nullcontext():
            self.stream.write(_written(line) + self.terminator)
            self.flush()


def _written(fields: Mapping[str, str | float | None]) -> str:
    """A JSON object of simple values, as `json.dumps` writes it."""
    pairs = [f'"{name}": {_value(value)}' for name, value in fields.items()]
    return f"{{{', '.join(pairs)}}}"


def _value(value: str | float | None) -> str:
    if isinstance(value, str):
        return encode_basestring_ascii(value)
    return "null" if value is None else repr(value)


def direct_lines(logger: logging.Logger) -> Lines | None:
    """Where this logger's lines go, if they go nowhere else and are JSON."""
    above: logging.Logger | None = logger
    while above is not None and above is not logging.root:
        if above.handlers or not above.propagate:
            return None
        above = above.parent
    handlers = logging.root.handlers
    handler = handlers[0] if len(handlers) == 1 else None
    return handler if isinstance(handler, Lines) and isinstance(handler.formatter, JsonLines) else None


def _now() -> str:
    """The moment as RFC 3339 has it, to a millisecond."""
    now = time.time()
    return f"{_second(int(now))}.{int(now % 1 * 1000):03d}Z"


@lru_cache(maxsize=2)
def _second(second: int) -> str:
    return time.strftime(InUTC.default_time_format, time.gmtime(second))


class OfRequest(logging.Filter):
    """Adds the request to a record, and takes what may be the caller's out of an error.

    The message of an exception quotes values: those of a body, a parameter, a row. Where it was raised in
    an answer only its type and its place in the code are told.
    """

    def filter(self, record: logging.LogRecord) -> bool:
        """Change the record; none is left out."""
        trace = current_trace()
        record.of_request = ""
        if trace is not None:
            record.request_id, record.trace_id, record.span_id = (
                trace.request_id,
                trace.trace_id,
                trace.span_id,
            )
            record.of_request = f" request_id={trace.request_id} trace_id={trace.trace_id}"
        answering = trace is not None or not record.name.startswith(_OURS)
        if answering and record.exc_info and record.exc_info[1] is not None:
            record.exc_text = places(record.exc_info[1])
            record.exc_info = None
        return True


def places(error: BaseException) -> str:
    """The type of an exception and the lines of code it came through, and of those that led to it."""
    told: list[str] = []
    seen: BaseException | None = error
    while seen is not None:
        frames = "".join(traceback.format_list(traceback.extract_tb(seen.__traceback__)))
        told.insert(0, f"{frames}{type(seen).__module__}.{type(seen).__qualname__}")
        seen = seen.__cause__ or (None if seen.__suppress_context__ else seen.__context__)
    return "\nwhich led to\n".join(told)


class InUTC(logging.Formatter):
    """Moments as RFC 3339 has them."""

    converter = staticmethod(time.gmtime)
    default_time_format = "%Y-%m-%dT%H:%M:%S"
    default_msec_format = "%s.%03dZ"


class JsonLines(InUTC, JsonFormatter):
    """One JSON object a line."""

    def __init__(self) -> None:
        JsonFormatter.__init__(self, list(_JSON), rename_fields=_JSON, reserved_attrs=_LEFT_OUT)


class TextLines(InUTC):
    """Lines for people."""

    def __init__(self) -> None:
        super().__init__(_TEXT)

    def formatMessage(self, record: logging.LogRecord) -> str:  # noqa: N802 (the base's)
        """The line, with how long an answer took."""
        line = super().formatMessage(record)
        fields: dict[str, Any] = record.__dict__
        took = f" {fields['duration_ms']} ms {fields['bytes']} bytes" if "duration_ms" in fields else ""
        return line + took
