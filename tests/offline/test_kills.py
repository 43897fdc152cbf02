"""A short share of the kill loops: browser and renderer end by SIGKILL while notes are written. More: `python3 tests/bench kills`."""

from __future__ import annotations

import random

import pytest
from tests.faults.kill_loops import kill_pages
from tests.offline.phone import Phone
from tests.offline.test_store import with_procedure
from tests.offline.workshop import Workshop

pytestmark = pytest.mark.browser


def test_no_acknowledged_note_is_lost_when_browser_or_renderer_is_killed(phone: Phone, workshop: Workshop) -> None:
    pages = kill_pages(phone, workshop.address, with_procedure(phone, workshop), 4, 50, random.Random(2))
    whole = pages["pages"]
    print(f"{whole.acknowledged} acknowledged, {whole.kills} kills: {len(whole.lost)} lost, {whole.doubled} doubled")
    assert (whole.lost, whole.doubled) == ([], 0)
    assert pages["renderer"].kills == 2
