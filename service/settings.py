"""Settings from environment variables that begin with ``AXLEFIT_``."""

from __future__ import annotations

import re
from ipaddress import ip_network
from pathlib import Path
from typing import Annotated, Any, Literal, Self

from pydantic import BeforeValidator, Field, SecretStr, field_validator, model_validator
from pydantic_core import PydanticCustomError
from pydantic_settings import BaseSettings, NoDecode, SettingsConfigDict

from schemas.base import fault_of

SEED_DATA = Path(__file__).resolve().parent.parent / "seed_data"

PREFIX = "AXLEFIT_"
DEMONSTRATION_SECRET = "demonstration"  # noqa: S105 (it is the one that everybody knows)
_WIDEST_NETWORK = 7  # of bits: fc00::/7 is the widest network that is somebody's own (RFC 4193)
_IN_MEMORY = re.compile(r"sqlite(\+\w+)?://(/?|/:memory:)(\?.*)?|.*mode=memory.*")
_DATABASE = re.compile(r"(sqlite|postgresql)(\+\w+)?://.*")
_ORIGIN = r"^https?://[a-z0-9.\[\]:_-]+$"


def _separated(value: Any) -> Any:
    """A list as an environment variable holds it."""
    return [part.strip() for part in value.split(",") if part.strip()] if isinstance(value, str) else value


Origins = Annotated[tuple[Annotated[str, Field(pattern=_ORIGIN)], ...], NoDecode, BeforeValidator(_separated)]
"""Origins as a browser sends them: scheme, host and port, in lower case, without a path."""


class Settings(BaseSettings):
    """What can be set from outside; the defaults run the demonstration on one machine."""

    model_config = SettingsConfigDict(env_prefix=PREFIX, frozen=True)

    environment: Literal["development", "production"] = Field(
        default="development", description="In production the demonstration's defaults are refused."
    )
    database_url: str = Field(
        default="sqlite:///axlefit.sqlite3", description="The parts table, as an SQLAlchemy URL."
    )
    host: str = Field(default="127.0.0.1", description="The address to serve on.")
    port: int = Field(default=8000, ge=1, le=65535, description="The port to serve on.")
    refresh_seconds: float = Field(
        default=0.5, gt=0, le=60, description="How often the catalogue's revision is looked at."
    )
    key_pepper: SecretStr = Field(
        default=SecretStr(DEMONSTRATION_SECRET),
        description="What API keys are hashed with; a secret of its own.",
    )
    cursor_secret: SecretStr = Field(
        default=SecretStr(DEMONSTRATION_SECRET),
        description="What cursors are signed with; a secret of its own.",
    )
    cors_origins: Origins = Field(
        default=(), description="Origins whose pages may also write, with a key; separated by commas."
    )
    import_max_bytes: int = Field(
        default=64 * 1024 * 1024, gt=0, description="The largest import file that is taken over HTTP."
    )
    answer_cache_bytes: int = Field(
        default=64 * 1024 * 1024, ge=0, description="How much of the answers to lookups is kept; 0 = none."
    )
    batch_max_lines: int = Field(default=100_000, gt=0, description="How many lines a batch may have.")
    batch_max_bytes: int = Field(
        default=64 * 1024 * 1024, gt=0, description="How large a batch may be, all its lines together."
    )
    batches_at_once: int = Field(
        default=8, gt=0, description="How many batches a process answers at the same time; others get 503."
    )
    imports_at_once: int = Field(
        default=4, gt=0, description="How many imports a process has under way or waiting; others get 503."
    )
    limit_per_minute: int = Field(
        default=0, ge=0, description="Requests a minute from an address; 0 = no limit, and none is counted."
    )
    key_limit_per_minute: int | None = Field(
        default=None, ge=0, description="Requests a minute with a key; as from an address if not set."
    )
    wrong_keys_per_minute: int = Field(
        default=60, ge=0, description="Wrong keys a minute from an address, then 429; 0 = no limit."
    )
    stop_seconds: float = Field(
        default=10, gt=0, le=300, description="How long a stop may take in all, whatever is under way."
    )
    stop_pause_seconds: float = Field(
        default=0,
        ge=0,
        description="How long a stop goes on listening, not ready, so that a balancer can turn away.",
    )
    trusted_proxies: str = Field(
        default="127.0.0.1,::1",
        description="Whose X-Forwarded-For is believed: addresses and networks, comma separated.",
    )
    log_format: Literal["json", "text"] = Field(
        default="json", description="Log lines for programs or for people."
    )
    log_level: Literal["debug", "info", "warning", "error"] = Field(
        default="info", description="The least that is logged."
    )

    @field_validator("database_url")
    @classmethod
    def _is_of_a_known_kind(cls, value: str) -> str:
        """Each transaction opens SQLite anew, and would find a database in memory empty."""
        if not _DATABASE.fullmatch(value) or _IN_MEMORY.fullmatch(value):
            allowed = "a URL such as sqlite:///axlefit.sqlite3 or postgresql://user@host/name"
            raise PydanticCustomError("database_url", allowed)
        return value

    @field_validator("trusted_proxies")
    @classmethod
    def _are_networks(cls, value: str) -> str:
        """To believe everybody would let everybody choose an address, so that there is no word for it."""
        try:
            networks = [ip_network(part.strip()) for part in filter(None, value.split(","))]
        except ValueError:
            raise PydanticCustomError("networks", "addresses and networks, comma separated") from None
        if any(network.prefixlen < _WIDEST_NETWORK for network in networks):
            raise PydanticCustomError("networks", "networks of one's own, not of nearly everybody")
        return value

    @model_validator(mode="after")
    def _stop_begins_before_it_ends(self) -> Self:
        if self.stop_pause_seconds >= self.stop_seconds:
            raise fault_of("stop_pause_seconds", f"less than stop_seconds ({self.stop_seconds:g})")
        return self
