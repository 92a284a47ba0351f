"""Whether the service is about to stop: then it is not ready, and a balancer sends new requests elsewhere."""

from __future__ import annotations

from fastapi import Depends, Request

from service.errors import ServiceError, StoppingError


class Stopping:
    """Set once, when the stop begins."""

    def __init__(self) -> None:
        self.begun = False

    def begin(self) -> None:
        """From now on the service is not ready."""
        self.begun = True

    def refusal(self) -> ServiceError | None:
        """What readiness has to say."""
        return StoppingError("The service is about to stop.") if self.begun else None


async def _while_it_runs_on(request: Request) -> None:
    stopping: Stopping = request.app.state.stopping
    refusal = stopping.refusal()
    if refusal is not None:
        raise refusal


NOT_STOPPING = Depends(_while_it_runs_on)
