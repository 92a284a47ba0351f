"""The asynchronous client and the application in one process, many calls at a time."""

import asyncio

import httpx
from axlefit_client import AsyncAxleFit

from service.app import create_app
from service.settings import Settings


def test_many_lookups_run_at_a_time_and_each_has_its_own_answer(demonstration_file):
    widths = [34 + n / 4 for n in range(12)]

    async def ask():
        app = create_app(Settings(database_url=f"sqlite:///{demonstration_file}"))
        transport = httpx.ASGITransport(app=app)
        async with (
            app.router.lifespan_context(app),
            AsyncAxleFit("http://shop.invalid", transport=transport) as shop,
        ):
            return await asyncio.gather(*(shop.fits(outside_width_mm=width) for width in widths))

    assert [answer.frame.outside_width_mm.value for answer in asyncio.run(ask())] == widths
