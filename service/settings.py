"""Settings from environment variables that begin with ``AXLEFIT_``."""

from __future__ import annotations

from ipaddress import ip_network
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, SecretStr, ValidationError, field_validator
from pydantic_core import PydanticCustomError
from pydantic_settings import BaseSettings, NoDecode, SettingsConfigDict

from schemas.problems import FaultOfField, faults_of
from service.errors import SettingsError

SEED_DATA = Path(__file__).resolve().parent.parent / "seed_data"


_PREFIX = "AXLEFIT_"
_ORIGIN = r"^https?://[a-z0-9.\[\]:_-]+$"


def _separated(value: Any) -> Any:
    """A list as an environment variable holds it."""
    return [part.strip() for part in value.split(",") if part.strip()] if isinstance(value, str) else value


Origins = Annotated[tuple[Annotated[str, Field(pattern=_ORIGIN)], ...], NoDecode, BeforeValidator(_separated)]
"""Origins as a browser sends them: scheme, host and port, in lower case, without a path."""


class Settings(BaseSettings):
    """What can be set from outside; the defaults run the demonstration on one machine."""

    model_config = SettingsConfigDict(env_prefix=_PREFIX, frozen=True)

    database_url: str = Field(
        default="sqlite:///axlefit.sqlite3", description="The parts table, as an SQLAlchemy URL."
    )
    host: str = Field(default="127.0.0.1", description="The address to serve on.")
    port: int = Field(default=8000, ge=1, le=65535, description="The port to serve on.")
    refresh_seconds: float = Field(
        default=0.5, gt=0, le=60, description="How often the catalogue's revision is looked at."
    )
    key_pepper: SecretStr = Field(
        default=SecretStr("demonstration"), description="What API keys are hashed with; a secret of its own."
    )
    cursor_secret: SecretStr = Field(
        default=SecretStr("demonstration"), description="What cursors are signed with; a secret of its own."
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
    limit_per_minute: int = Field(
        default=0, ge=0, description="Requests a minute from an address; 0 = no limit, and none is counted."
    )
    key_limit_per_minute: int | None = Field(
        default=None, ge=0, description="Requests a minute with a key; as from an address if not set."
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

    @field_validator("trusted_proxies")
    @classmethod
    def _are_networks(cls, value: str) -> str:
        """To believe everybody would let everybody choose an address, so that there is no word for it."""
        try:
            for part in filter(None, value.split(",")):
                ip_network(part.strip())
        except ValueError:
            raise PydanticCustomError("networks", "addresses and networks, comma separated") from None
        return value


def read_settings() -> Settings:
    """The settings of the environment.

    Raises
    ------
    SettingsError
        If any is wrong; it tells all of them at once.
    """
    try:
        return Settings()
    except ValidationError as error:
        faults = [
            FaultOfField(
                path=(_PREFIX + str(fault.path[0]).upper(),), found=fault.found, allowed=fault.allowed
            )
            for fault in faults_of(error, Settings)
        ]
        raise SettingsError("The settings are wrong.", faults) from None
