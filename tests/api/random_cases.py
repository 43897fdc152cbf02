"""Sends requests made at random from the OpenAPI description, and holds every answer to that description.

Half of the ids in addresses are real ones, so that what lies behind them is reached; whoever asks is a signed-in owner
and an enrolled phone at once.
"""

import random
from collections import Counter
from dataclasses import dataclass, field
from typing import Any

import schemathesis
from flask import Flask
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import seed as seeded
from schemathesis.checks import not_a_server_error
from schemathesis.core.failures import Failure, FailureGroup
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)
from tests.making import PASSWORD

CHECKS = [not_a_server_error, status_code_conformance, content_type_conformance, response_schema_conformance]
HEADERS = {"X-Benchtrail": "1", "Tus-Resumable": "1.0.0", "Upload-Offset": "0", "Upload-Length": "9"}


@schemathesis.serializer("application/zip")
def _as_it_is(_context: Any, value: Any) -> bytes:
    """A file is sent as the bytes that were made up."""
    return value if isinstance(value, bytes) else str(value).encode("utf-8", "replace")


@dataclass
class Outcome:
    """How many requests were sent, by status class of the answer; what broke the description or the server."""

    sent: int = 0
    statuses: Counter[str] = field(default_factory=Counter)
    operations: int = 0
    broken: list[str] = field(default_factory=list)


def run_cases(app: Flask, ids: dict[str, list[str]], device_cookie: str, cases: int, seed: int = 1) -> Outcome:
    """At least `cases` requests, shared evenly between the operations; what takes no values is soon asked in every way."""
    schema = schemathesis.openapi.from_wsgi("/api/openapi.json", app)
    operations = [found.ok() for found in schema.get_all_operations()]
    outcome, chance = Outcome(operations=len(operations)), random.Random(seed)
    while outcome.sent < cases and operations:
        share, rich = -(-(cases - outcome.sent) // len(operations)), []
        for operation in operations:
            before = outcome.sent
            _run_one(app, operation, ids, device_cookie, share, outcome, chance)
            rich += [operation] if outcome.sent - before == share else []
        operations = rich
    return outcome


def _run_one(app: Flask, operation: Any, ids: dict[str, list[str]], device_cookie: str, count: int, outcome: Outcome,
             chance: random.Random) -> None:
    name = f"{operation.method.upper()} {operation.path}"

    @seeded(chance.randrange(2**32))
    @settings(max_examples=count, deadline=None, database=None, phases=[Phase.generate],
              suppress_health_check=list(HealthCheck))
    @given(case=operation.as_strategy())
    def ask(case: Any) -> None:
        for parameter in list(case.path_parameters or {}):
            if parameter in ids and chance.random() < 0.5:
                case.path_parameters[parameter] = chance.choice(ids[parameter])
        answer = case.call(headers=HEADERS, cookies={"benchtrail_device": device_cookie, "benchtrail_desk": desk_cookie(app)})
        outcome.sent += 1
        outcome.statuses[f"{answer.status_code // 100}xx"] += 1
        try:
            case.validate_response(answer, checks=CHECKS)
        except (Failure, FailureGroup) as failure:
            told = getattr(failure, "exceptions", [failure])
            outcome.broken.append(f"{name}: {answer.status_code} {'; '.join(str(one) for one in told)}"[:1500])

    ask()


_cookies: dict[int, str] = {}


def desk_cookie(app: Flask) -> str:
    """A session that is signed in; made anew when a request has ended it."""
    client = app.test_client()
    kept = _cookies.get(id(app))
    if kept:
        client.set_cookie("benchtrail_desk", kept)
        if client.get("/api/v1/session").status_code == 200:
            return kept
        client = app.test_client()
    answer = client.post("/api/v1/session", json={"name": "olive", "password": PASSWORD}, headers={"X-Benchtrail": "1"})
    assert answer.status_code == 200, answer.text
    cookie = client.get_cookie("benchtrail_desk")
    assert cookie is not None
    _cookies[id(app)] = cookie.value
    return cookie.value
