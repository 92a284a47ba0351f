"""The routes that write the catalogue: one record with a precondition, or a whole file."""

from collections.abc import Callable
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Path, Response

from schemas.feed import ImportRequest, ImportResponse
from service.catalogue.records import TABLES, Record, Table
from service.catalogue.writing import MergePatch, Written, patch_record, put_record, remove_record
from service.fitting.imports import import_file
from service.web.answers import answers, json_answer, record_answer
from service.web.bodies import UploadedFile, merge_patch_from_body, record_from_body, upload_from_body
from service.web.decoding import from_query, query_parameters
from service.web.dependencies import WRITER, DatabaseDep, KeeperDep, WriterDep
from service.web.header_fields import IDEMPOTENCY_KEY
from service.web.places import IMPORT_PLACE
from service.web.preconditions import (
    IdempotencyKeyDep,
    PreconditionDep,
    faults_of_idempotency_key,
)

# These handlers are plain functions: they wait for the database, in a thread of their own. The caller
# comes first: who may not write is told nothing else.
_REFUSALS = (401, 403, 422, 503)
_CONDITIONS = (412, 428)
_SECURITY: dict[str, Any] = {"security": [{"key": []}]}


def write_router() -> APIRouter:
    """The routes for all tables."""
    router = APIRouter()
    for table in TABLES.values():
        _add_record_routes(router, table)
    router.add_api_route(
        "/v1/imports",
        _post_import,
        methods=["POST"],
        responses=answers(ImportResponse, *_REFUSALS, 415),
        dependencies=[WRITER, IMPORT_PLACE],
        openapi_extra=_import_parameters()
        | {"requestBody": {"required": True, "content": {"text/csv": {"schema": {"type": "string"}}}}}
        | _SECURITY,
        tags=["writes"],
    )
    return router


def _import_parameters() -> dict[str, Any]:
    described = query_parameters(ImportRequest)
    return {"parameters": [*described["parameters"], IDEMPOTENCY_KEY]}


def _post_import(
    caller: WriterDep,
    request: Annotated[ImportRequest, Depends(from_query(ImportRequest, faults_of_idempotency_key))],
    upload: Annotated[UploadedFile, Depends(upload_from_body)],
    idempotency_key: IdempotencyKeyDep,
    database: DatabaseDep,
    keeper: KeeperDep,
) -> Response:
    """Read a CSV file into a table, all of it or nothing."""
    response = import_file(
        database,
        request,
        upload.file,
        digest=upload.digest_with(request),
        caller=caller,
        idempotency_key=idempotency_key,
    )
    keeper.follow_write()
    return json_answer(response)


def _add_record_routes(router: APIRouter, table: Table) -> None:
    """PUT, PATCH and DELETE for the records of one table."""
    schema = table.record.model_json_schema(ref_template="#/components/schemas/{model}")
    # The key stands in the path; in the body it may stand too.
    schema["required"] = [name for name in schema["required"] if name != table.key]
    some_fields = {"type": "object", "properties": schema["properties"]}
    for method, handler, body, problems, success in (
        ("PUT", _put(table), _body("application/json", schema), (415,), (200, 201)),
        ("PATCH", _patch(table), _body("application/merge-patch+json", some_fields), (404, 415), (200,)),
        ("DELETE", _delete(table), {}, (404,), (204,)),
    ):
        router.add_api_route(
            f"/v1/{table.name}/{{{table.key}}}",
            handler,
            methods=[method],
            status_code=success[0],
            responses=answers(table.record, *_REFUSALS, *_CONDITIONS, *problems, success=success),
            openapi_extra=body | _SECURITY,
            dependencies=[WRITER],
            operation_id=f"{method.lower()}_{table.name.removesuffix('s')}",
            tags=["writes"],
        )


def _body(media_type: str, schema: dict[str, Any]) -> dict[str, Any]:
    return {"requestBody": {"required": True, "content": {media_type: {"schema": schema}}}}


def _put(table: Table) -> Callable[..., Response]:
    def put(
        _key: Annotated[str, Path(alias=table.key)],
        caller: WriterDep,
        record: Annotated[Record, Depends(record_from_body(table))],
        precondition: PreconditionDep,
        database: DatabaseDep,
        keeper: KeeperDep,
    ) -> Response:
        """Put a record in the place of the one with this key, or add it."""
        written = put_record(database, table, record, precondition=precondition, actor=caller.actor)
        return _answer(written, keeper)

    return put


def _patch(table: Table) -> Callable[..., Response]:
    def patch(
        key: Annotated[str, Path(alias=table.key)],
        caller: WriterDep,
        merge: Annotated[MergePatch, Depends(merge_patch_from_body(table))],
        precondition: PreconditionDep,
        database: DatabaseDep,
        keeper: KeeperDep,
    ) -> Response:
        """Change some fields of a record; null takes a field away (RFC 7396)."""
        written = patch_record(database, table, key, merge, precondition=precondition, actor=caller.actor)
        return _answer(written, keeper)

    return patch


def _delete(table: Table) -> Callable[..., Response]:
    def delete(
        key: Annotated[str, Path(alias=table.key)],
        caller: WriterDep,
        precondition: PreconditionDep,
        database: DatabaseDep,
        keeper: KeeperDep,
    ) -> Response:
        """Remove a record."""
        written = remove_record(database, table, key, precondition=precondition, actor=caller.actor)
        return _answer(written, keeper)

    return delete


def _answer(written: Written, keeper: KeeperDep) -> Response:
    """The answer to a write; the snapshot of this process follows at once."""
    keeper.follow_write()
    if written.record is None:
        response = Response(status_code=204)
    else:
        response = record_answer(written.record, status_code=201 if written.created else 200)
    response.headers["Catalogue-Revision"] = str(written.revision)
    return response
