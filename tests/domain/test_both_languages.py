"""Python and TypeScript give the same answers on 2,000 random journals, 1,000 random walks and random values."""

import random
from typing import Any

import pytest
from tests.domain.node import run_typescript
from tests.domain.random_logs import DEVICES, PACK, STEPS, random_log, random_value, random_walk

from benchtrail.domain.bench_state import apply_action, for_variant, start_state
from benchtrail.domain.canonical_json import canonical_json
from benchtrail.domain.end_items import end_items, ledger, tray
from benchtrail.domain.event_hash import event_hash, job_digest
from benchtrail.domain.event_problems import event_problems
from benchtrail.domain.hlc import Stamp, hlc_text, merge_hlc, next_hlc
from benchtrail.domain.job_lists import derived_lists, figures_of_steps, progress
from benchtrail.domain.journal import JournalFold, fold_journal
from benchtrail.domain.verdict import verdict

SEED = 20261125
NOW_MS = 1_764_057_600_000


def random_clock(chance: random.Random) -> dict[str, Any]:
    def clock(device: str) -> str:
        ms = NOW_MS + chance.choice([0, 0, 1, -1, 86_400_000, 86_400_001, -10**9, 10**12])
        return hlc_text(Stamp(ms, chance.choice([0, 1, 0xFFFE, 0xFFFF])), device)
    last, foreign = clock(DEVICES[0]), clock(DEVICES[1])
    return {"last": chance.choice([None, "never", *[last] * 8]), "foreign": chance.choice(["soon", *[foreign] * 8]),
            "now_ms": NOW_MS + chance.choice([0, 0.5, 1, -1, 86_400_000]), "device": DEVICES[0]}


@pytest.fixture(scope="module")
def given() -> dict[str, Any]:
    chance = random.Random(SEED)
    return {
        "pack": PACK, "logs": [random_log(chance) for _ in range(2000)],
        "walks": [random_walk(chance) for _ in range(1000)], "values": [random_value(chance) for _ in range(2000)],
        "clocks": [random_clock(chance) for _ in range(500)], "readings": [random_reading(chance) for _ in range(1000)],
    }


def random_reading(chance: random.Random) -> dict[str, Any]:
    value = chance.choice([chance.uniform(-1, 50), 1, 35, 45, 0.15])
    return {"step": chance.choice([*STEPS, "no-such-step"]), "value": value}


@pytest.fixture(scope="module")
def typescript(given: dict[str, Any]) -> dict[str, Any]:
    answer: dict[str, Any] = run_typescript("fold_logs", given)
    return answer


def of_log(events: list[Any]) -> dict[str, Any]:
    fold = fold_journal(PACK, events)
    whole = for_variant(PACK, fold["variant"])
    return {"fold": fold, "end_items": end_items(whole, fold["state"]), "ledger": ledger(whole, fold["state"]),
            "tray": tray(whole, fold["state"]), "progress": progress(PACK, fold),
            "problems": [event_problems(event) for event in events]}


def of_walk(walk: dict[str, Any]) -> dict[str, Any]:
    whole = for_variant(PACK, walk["variant"])
    state = start_state(whole)
    for action in walk["actions"]:
        state = apply_action(whole, state, action)
    return {"state": state, "end_items": end_items(whole, state), "ledger": ledger(whole, state),
            "tray": tray(whole, state), "lists": derived_lists(whole), "sheet": figures_of_steps(whole)}


def test_the_random_logs_reach_everything(given: dict[str, Any]) -> None:
    folds = [fold_journal(PACK, log) for log in given["logs"]]
    for field in JournalFold.__annotations__:
        filled = sum(bool(fold[field]) for fold in folds)  # type: ignore[literal-required]
        assert filled > 100, f"{field} is hardly ever filled"
    codes = {item["code"] for walk in given["walks"] for item in of_walk(walk)["end_items"]}
    assert len(codes) == 10, codes


@pytest.mark.parametrize("part", ["logs", "walks"])
def test_journals_and_walks_end_alike(part: str, given: dict[str, Any], typescript: dict[str, Any]) -> None:
    compute = {"logs": of_log, "walks": of_walk}[part]
    for number, (item, theirs) in enumerate(zip(given[part], typescript[part], strict=True)):
        ours = compute(item)
        for field, value in ours.items():
            assert value == theirs[field], f"{part} {number} of seed {SEED}, {field}"


def test_canonical_texts_and_hashes_are_alike(given: dict[str, Any], typescript: dict[str, Any]) -> None:
    texts = [canonical_json(value) for value in given["values"]]
    assert texts == typescript["texts"]
    assert [event_hash({"value": value}) for value in given["values"]] == typescript["hashes"]
    assert job_digest(texts) == typescript["digest"]


def test_clocks_are_alike(given: dict[str, Any], typescript: dict[str, Any]) -> None:
    ours = [{"next": next_hlc(clock["last"], clock["now_ms"], clock["device"]),
             "merged": merge_hlc(clock["last"], clock["foreign"], clock["now_ms"])} for clock in given["clocks"]]
    assert ours == typescript["clocks"]


def test_verdicts_are_alike(given: dict[str, Any], typescript: dict[str, Any]) -> None:
    ours = [verdict(PACK, reading["step"], reading["value"]) for reading in given["readings"]]
    assert ours == typescript["verdicts"]
    assert set(ours) == {"within", "outside", "unknown"}
