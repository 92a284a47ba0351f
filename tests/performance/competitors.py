"""What the service is measured beside: each an application that somebody could have written instead.

`bare` and `typed` answer with as many bytes as the service does, and do nothing for it. `obvious` and
`careful` know of a part only the limits of its window on a 6 mm wall, made beforehand; they check nothing
else, give no reasons, and so do much less than the service.
"""

import json
import os
import sqlite3
from typing import Annotated, Literal

from fastapi import Depends, FastAPI, Query, Response
from pydantic import BaseModel, ConfigDict, Field
from sqlalchemy import func
from sqlmodel import Field as Column
from sqlmodel import Session, SQLModel, create_engine, select

# --- (a) fixed bytes, without a framework ------------------------------------------------------------


def bare():
    """An application that has its answer ready."""
    body = _fixed_body()
    start = {
        "type": "http.response.start",
        "status": 200,
        "headers": [(b"content-type", b"application/json"), (b"content-length", str(len(body)).encode())],
    }
    end = {"type": "http.response.body", "body": body}

    async def answer(scope, receive, send):
        if scope["type"] == "lifespan":
            await _live(receive, send)
            return
        await send(start)
        await send(end)

    return answer


def _fixed_body():
    return b"x" * int(os.environ["BODY_BYTES"])


async def _live(receive, send):
    for name in ("startup", "shutdown"):
        await receive()
        await send({"type": f"lifespan.{name}.complete"})


# --- (b) fixed bytes, behind the framework's validation ----------------------------------------------

Reading = Annotated[float, Field(gt=0, le=200)]
Code = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]{0,31}$")]
Thread = Annotated[str, Field(max_length=16, pattern=r"^M[0-9.]+( ?[xX×] ?[0-9.]+)?$")]


class LookupQuery(BaseModel):
    """The lookup's fields, as FastAPI's manual has a group of parameters: one model, validated at once."""

    model_config = ConfigDict(extra="forbid")

    fastening: Literal["threaded_wall", "two_piece", "bolt_and_nut"] | None = None
    outside_width_mm: list[Reading] | None = None
    inside_width_mm: list[Reading] | None = None
    head_wall_mm: list[Reading] | None = None
    far_wall_mm: list[Reading] | None = None
    instrument: Literal["calliper", "ruler", "tape", "declared"] = "calliper"
    bore_mm: list[Reading] | None = None
    wall_material: Code = "aluminium_6061_t6"
    thread: Thread | None = None
    recess_mm: float | None = Field(default=None, ge=0, le=200)
    holes: Literal["round", "oval"] | None = None
    hole_offset_mm: Reading | None = None
    keyed_profile: Code | None = None
    keys_needed: int | None = Field(default=None, ge=1, le=2)
    position: Literal["any", "brake"] = "any"
    brake_thread: Thread | None = None
    rider_mass_kg: float | None = Field(default=None, ge=10, le=250)
    child: bool = False
    hub_width_mm: Reading = 24.0
    prefer_drive: Code | None = None
    prefer_colour: Code | None = None
    in_stock: bool = False
    limit: int = Field(default=10, ge=1, le=100)
    cursor: str | None = Field(default=None, max_length=256)
    near_misses: int = Field(default=3, ge=0, le=20)


def typed():
    """FastAPI with the same validated parameters; the answer is ready."""
    app = FastAPI()
    body = _fixed_body()

    @app.get("/v1/fits")
    async def fits(_query: Annotated[LookupQuery, Query()]):
        return Response(body, media_type="application/json")

    _add_ready(app)
    return app


def _add_ready(app):
    @app.get("/health/ready")
    async def ready():
        return {}


# --- (c) the obvious service --------------------------------------------------------------------------


class Part(SQLModel, table=True):
    """A part as the obvious service keeps it."""

    __tablename__ = "parts"

    sku: str = Column(primary_key=True)
    name: str
    fastening: str
    shaft_mm: float | None
    thread: str | None
    length_mm: float | None
    drive: str | None
    driven_heads: int | None
    keyed_profile: str | None
    material: str | None
    colour: str | None
    pack_quantity: int | None
    price: float | None
    currency: str | None
    stock: int | None
    lower_mm: float
    upper_mm: float
    ideal_mm: float


class PartAnswer(BaseModel):
    """A part as the obvious service answers it."""

    model_config = ConfigDict(from_attributes=True)

    sku: str
    name: str
    fastening: str
    shaft_mm: float | None
    thread: str | None
    length_mm: float | None
    drive: str | None
    driven_heads: int | None
    keyed_profile: str | None
    material: str | None
    colour: str | None
    pack_quantity: int | None
    price: float | None
    currency: str | None
    stock: int | None
    lower_mm: float
    upper_mm: float
    ideal_mm: float


def obvious():
    """FastAPI, SQLModel, a range query on an index for each request, the answer built of models."""
    app = FastAPI()
    engine = create_engine(f"sqlite:///{os.environ['PARTS']}", connect_args={"check_same_thread": False})

    def session():
        with Session(engine) as opened:
            yield opened

    @app.get("/v1/fits")
    def fits(
        query: Annotated[LookupQuery, Query()], opened: Annotated[Session, Depends(session)]
    ) -> list[PartAnswer]:
        (width,) = query.outside_width_mm
        wanted = select(Part).where(Part.lower_mm <= width, Part.upper_mm >= width)
        if query.fastening:
            wanted = wanted.where(Part.fastening == query.fastening)
        if query.bore_mm:
            wanted = wanted.where(Part.shaft_mm == query.bore_mm[0])
        if query.thread:
            wanted = wanted.where(Part.thread == query.thread)
        wanted = wanted.order_by(func.abs(Part.ideal_mm - width), Part.sku).limit(query.limit)
        return [PartAnswer.model_validate(part) for part in opened.exec(wanted)]

    _add_ready(app)
    return app


# --- (d) the careful rival ----------------------------------------------------------------------------

_CAREFUL = """
    SELECT * FROM parts INDEXED BY parts_by_ideal
    WHERE fastening = :fastening AND shaft_mm = :bore AND ideal_mm BETWEEN :width - :reach AND :width + :reach
      AND lower_mm <= :width AND upper_mm >= :width AND (:thread IS NULL OR thread = :thread)
    ORDER BY abs(ideal_mm - :width), sku LIMIT :limit
"""
_REACH = "SELECT fastening, max(max(upper_mm - ideal_mm, ideal_mm - lower_mm)) FROM parts GROUP BY fastening"


def careful():
    """Raw sqlite3 within the event loop: one prepared statement, one range with two ends, one encoding."""
    app = FastAPI()
    connection = sqlite3.connect(f"file:{os.environ['PARTS']}?mode=ro", uri=True, check_same_thread=False)
    connection.execute("PRAGMA mmap_size = 1073741824")
    names = [column[0] for column in connection.execute("SELECT * FROM parts LIMIT 0").description]
    # No limit of a part lies farther from its ideal width, so that the range on the index has two ends.
    reach = dict(connection.execute(_REACH).fetchall())

    @app.get("/v1/fits")
    async def fits(query: Annotated[LookupQuery, Query()]):
        sought = {
            "fastening": query.fastening,
            "bore": query.bore_mm[0],
            "width": query.outside_width_mm[0],
            "thread": query.thread,
            "limit": query.limit,
            "reach": reach.get(query.fastening, 0),
        }
        found = [dict(zip(names, row, strict=True)) for row in connection.execute(_CAREFUL, sought)]
        return Response(json.dumps(found), media_type="application/json")

    _add_ready(app)
    return app
