"""Calls as generators: each asks for what is to be sent, and takes what came of it.

All that is decided is decided in them, without input or output; the two clients only send, sleep and hand
over.
"""

from __future__ import annotations

import functools
from collections.abc import AsyncIterator, Callable, Coroutine, Generator, Iterator
from dataclasses import dataclass
from typing import Any, Concatenate, Generic, ParamSpec, Protocol, TypeAlias, TypeVar, overload

import httpx

P = ParamSpec("P")
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Pause:
    """The client is to wait before the next step."""

    seconds: float


@dataclass(frozen=True, slots=True)
class Give(Generic[T]):
    """The caller is to have this item."""

    item: T


Reply: TypeAlias = httpx.Response | httpx.RequestError | None
"""What came of a step: an answer, the error in its place, or nothing after a pause."""
Flow: TypeAlias = Generator[httpx.Request | Pause, Reply, T]
"""A call that ends with its result."""
Items: TypeAlias = Generator[httpx.Request | Pause | Give[T], Reply, None]
"""A call that gives one item after another."""


class Blocking(Protocol):
    """A client whose calls return when they are done."""

    def _run(self, flow: Flow[T]) -> T: ...

    def _iterate(self, flow: Items[T]) -> Iterator[T]: ...


class Awaited(Protocol):
    """A client whose calls are awaited."""

    def _run(self, flow: Flow[T]) -> Coroutine[Any, Any, T]: ...

    def _iterate(self, flow: Items[T]) -> AsyncIterator[T]: ...


class call(Generic[P, T]):  # noqa: N801 (a decorator)
    """A method of both clients that answers once, written once as a flow."""

    def __init__(self, flow: Callable[Concatenate[Any, P], Flow[T]]) -> None:
        self._flow = flow
        functools.update_wrapper(self, flow)  # type: ignore[arg-type]

    @overload
    def __get__(self, client: None, owner: Any = None) -> call[P, T]: ...
    @overload
    def __get__(self, client: Blocking, owner: Any = None) -> Callable[P, T]: ...
    @overload
    def __get__(self, client: Awaited, owner: Any = None) -> Callable[P, Coroutine[Any, Any, T]]: ...

    def __get__(self, client: Any, owner: Any = None) -> Any:
        """The method of one client."""
        return _bound(self, self._flow, client, "_run")


class listing(Generic[P, T]):  # noqa: N801 (a decorator)
    """A method of both clients that gives items, written once as a flow."""

    def __init__(self, flow: Callable[Concatenate[Any, P], Items[T]]) -> None:
        self._flow = flow
        functools.update_wrapper(self, flow)  # type: ignore[arg-type]

    @overload
    def __get__(self, client: None, owner: Any = None) -> listing[P, T]: ...
    @overload
    def __get__(self, client: Blocking, owner: Any = None) -> Callable[P, Iterator[T]]: ...
    @overload
    def __get__(self, client: Awaited, owner: Any = None) -> Callable[P, AsyncIterator[T]]: ...

    def __get__(self, client: Any, owner: Any = None) -> Any:
        """The method of one client."""
        return _bound(self, self._flow, client, "_iterate")


def _bound(method: object, flow: Callable[..., Any], client: Any, driver: str) -> Any:
    if client is None:  # asked of the class, as documentation tools do
        return method

    @functools.wraps(flow)
    def bound(*args: Any, **kwargs: Any) -> Any:
        return getattr(client, driver)(flow(client, *args, **kwargs))

    return bound
