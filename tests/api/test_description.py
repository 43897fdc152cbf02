"""Requests made at random from the description get answers as described, and none is a fault of the server.

A share of `python3 tests/bench api --cases 10000`.
"""

import pytest
from flask import Flask
from tests.api.conftest import Asker
from tests.api.random_cases import run_cases
from tests.api.test_tenants import Ours, ours

__all__ = ["ours"]


def test_answers_are_as_described(app: Flask, ours: Ours, phone: Asker, capsys: pytest.CaptureFixture[str]) -> None:
    cookie = phone.client.get_cookie("benchtrail_device")
    assert cookie is not None
    outcome = run_cases(app, ours.ids, cookie.value, cases=500)
    with capsys.disabled():
        print(f"\ndescribed: {outcome.sent} requests to {outcome.operations} operations, {dict(outcome.statuses)}, "
              f"{len(outcome.broken)} broke the description")
    assert outcome.broken == [], "\n".join(outcome.broken[:10])
    assert outcome.sent >= 500
    assert outcome.statuses["2xx"] >= 30, "hardly anything was reached"
