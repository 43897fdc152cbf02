"""One error body for everything that is refused: `{code, values, message, fields?}`. Knows status codes and wording."""

import logging
import secrets
from typing import Any

from flask import Flask, Response, jsonify, request
from marshmallow import Schema, fields
from werkzeug.exceptions import HTTPException, MethodNotAllowed

from benchtrail.domain.refused import Refused
from benchtrail.messages import message_for

LOG = logging.getLogger("benchtrail.api")

# Codes that are not 422 (the request was understood, and what it asks for fails its checks).
STATUS = {
    "input_not_as_described": 400, "json_unreadable": 400, "upload_header_missing": 400, "device_id_form": 400,
    "label_length": 400, "nonce_form": 400, "library_files_form": 400,
    "workfile_id_form": 400, "work_picture_unreadable": 400,
    "calc_field_unknown": 400, "calc_field_missing": 400,
    "no_such_job_link": 404, "job_link_unknown": 404, "job_link_expired": 410, "job_link_withdrawn": 410,
    "frame_site_form": 400, "frame_sites_many": 400,
    "passkey_refused": 401, "passkey_too_late": 410, "passkey_label": 400, "no_such_passkey": 404, "passkeys_many": 409,
    "not_signed_in": 401, "sign_in_refused": 401, "not_enrolled": 401, "device_shut_out": 401,
    "old_password_wrong": 403,
    "write_header_missing": 403, "foreign_site": 403, "author_only": 403, "owner_only": 403, "reviewer_only": 403,
    "set_up_code_wrong": 403, "no_such_proposal": 404, "no_such_machine": 404,
    "no_such_calendar": 404, "proposal_not_open": 409, "proposal_not_accepted": 409,
    "own_review_not_yours": 403, "proposal_of_what": 400, "account_unknown": 404, "no_such_session": 404, "password_code_unknown": 404,
    "set_up_done": 409, "account_exists": 409, "account_closed": 409, "last_owner": 409, "password_code_used": 409,
    "password_code_expired": 410,
    "address_unknown": 404, "no_such_dealer": 404, "no_such_pack": 404, "no_such_picture": 404, "no_such_job": 404, "no_such_entry": 404,
    "no_such_entry_of_job": 404, "no_such_readings": 404,
    "no_such_photo": 404, "no_such_upload": 404, "no_such_device": 404, "code_unknown": 404, "no_such_procedure": 404,
    "no_such_workfile": 404, "no_such_version": 404, "workfile_nothing_published": 404, "calc_unknown": 404, "desk_plan_model_unknown": 404,
    "method_not_here": 405,
    "cursor_out_of_date": 409, "code_used": 409, "upload_offset_differs": 409, "photo_not_ready": 409,
    "photo_needs_person": 409, "entry_settled": 409, "photo_erased": 410, "revision_not_newer": 409, "revision_unchanged": 409,
    "workfile_there_already": 409, "workfile_moved_on": 409, "workfile_put_away": 409,
    "work_pictures_full": 409, "retention_other": 409, "retention_range": 400,
    "code_expired": 410,
    "tus_version": 412,
    "body_too_large": 413, "workfile_too_large": 413, "upload_too_large": 413, "piece_beyond_end": 413,
    "not_json": 415, "not_a_zip": 415, "dealer_exists": 409, "dealer_file_clash": 409, "not_a_piece": 415,
    "upload_in_use": 423,
    "too_many_attempts": 429, "too_many_uploads": 429,
    "piece_hash_differs": 460, "photo_hash_differs": 460,
    "signing_key_missing": 503, "server_busy": 503, "desk_plan_busy": 503, "desk_plan_late": 503,
}
OF_HTTP = {404: "address_unknown", 405: "method_not_here", 413: "body_too_large", 415: "not_json"}


class ErrorMessageSchema(Schema):
    happened = fields.String(required=True)
    means = fields.String(required=True)
    do = fields.String(required=True)


class ErrorBodySchema(Schema):
    """The one form of every refusal."""

    code = fields.String(required=True)
    values = fields.Dict(required=True)
    message = fields.Nested(ErrorMessageSchema, required=True)
    fields_named = fields.Dict(data_key="fields")


def error_body(code: str, values: dict[str, Any], named: Any = None) -> dict[str, Any]:
    """The body of an error answer."""
    body = {"code": code, "values": values, "message": message_for(code, values).as_dict()}
    return body if named is None else {**body, "fields": named}


def refusal_answer(refusal: Refused) -> Response:
    """The answer to a refused request."""
    named = refusal.values.get("fields") if refusal.code == "input_not_as_described" else None
    response = jsonify(error_body(refusal.code, refusal.values if named is None else {}, named))
    response.status_code = STATUS.get(refusal.code, 422)
    wait = refusal.values.get("wait_s") or refusal.values.get("retry_s")
    if response.status_code in (423, 429, 503):
        response.headers["Retry-After"] = str(wait or 2)
    if "offset" in refusal.values:
        response.headers["Upload-Offset"] = str(refusal.values["offset"])
    return response


def http_answer(error: HTTPException) -> Response:
    """The answer to what Flask, Werkzeug or webargs refused."""
    status = error.code or 500
    if status >= 500:
        return fault_answer(error)
    named = getattr(error, "data", {}).get("messages")
    code = OF_HTTP.get(status, "input_not_as_described" if named else "json_unreadable")
    response = jsonify(error_body(code, {"address": request.path, "method": request.method}, named))
    response.status_code = status
    if isinstance(error, MethodNotAllowed) and error.valid_methods:
        response.headers["Allow"] = ", ".join(sorted(error.valid_methods))
    return response


def fault_answer(error: BaseException) -> Response:
    """A fault of ours: logged whole under a reference, told to the person by that reference only."""
    reference = secrets.token_hex(4)
    LOG.error("fault %s at %s %s", reference, request.method, request.path, exc_info=error)
    response = jsonify(error_body("server_fault", {"reference": reference}))
    response.status_code = 500
    return response


def handle_errors(app: Flask) -> None:
    """Makes every error of the app answer with the one body."""
    app.register_error_handler(Refused, refusal_answer)
    app.register_error_handler(HTTPException, http_answer)
    app.register_error_handler(Exception, fault_answer)
