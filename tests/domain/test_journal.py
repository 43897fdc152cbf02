"""The fold of a journal: order, split, repetition; what it does with rubbish; its clock, canonical form, hashes."""

import hashlib
import json
import random
from typing import Any

import pytest
import rfc8785
from hypothesis import example, given, settings
from hypothesis import strategies as st
from tests.domain.random_logs import DEVICES, PACK, random_log, random_value

from benchtrail.domain.bench_state import apply_steps, for_variant
from benchtrail.domain.canonical_json import canonical_json
from benchtrail.domain.event_hash import event_hash, job_digest
from benchtrail.domain.event_problems import event_problems
from benchtrail.domain.hlc import DAY_MS, hlc_stamp, merge_hlc, next_hlc
from benchtrail.domain.journal import fold_journal
from benchtrail.domain.refused import Refused
from benchtrail.domain.verdict import verdict

LOGS = st.randoms(use_true_random=False).map(random_log)
FLOATS = st.floats(allow_nan=False, allow_infinity=False)
TEXTS = st.text(st.characters(codec="utf-8"))
JSON = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**53) + 1, 2**53 - 1) | FLOATS | TEXTS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(TEXTS, inner, max_size=4),
)
MOMENTS = st.integers(1_700_000_000_000, 1_900_000_000_000)
# a loaded machine is slow, not wrong: no deadline
calmly = settings(deadline=None, max_examples=60)


@calmly
@given(LOGS, st.randoms(use_true_random=False))
def test_any_order_gives_the_same_fold(log: list[Any], chance: Any) -> None:
    shuffled = list(log)
    chance.shuffle(shuffled)
    assert fold_journal(PACK, shuffled) == fold_journal(PACK, log)


@calmly
@given(LOGS, st.data())
def test_repetition_gives_the_same_fold(log: list[Any], data: st.DataObject) -> None:
    again = data.draw(st.lists(st.sampled_from(log), max_size=20)) if log else []
    assert fold_journal(PACK, [*again, *log, *again]) == fold_journal(PACK, log)


@calmly
@given(LOGS, st.integers(0, 60))
def test_events_that_arrive_in_two_parts_give_the_same_fold(log: list[Any], at: int) -> None:
    first, second = log[:at], log[at:]
    assert fold_journal(PACK, second + first) == fold_journal(PACK, log)
    assert fold_journal(PACK, [*first, *second, *first]) == fold_journal(PACK, log)


@calmly
@given(LOGS)
def test_a_log_that_went_through_json_gives_the_same_fold(log: list[Any]) -> None:
    assert fold_journal(PACK, json.loads(json.dumps(log))) == fold_journal(PACK, log)


@calmly
@given(LOGS)
def test_the_state_is_that_of_the_steps_done_in_the_order_of_the_pack(log: list[Any]) -> None:
    fold = fold_journal(PACK, log)
    assert fold["state"] == apply_steps(for_variant(PACK, fold["variant"]), list(fold["done"]))
    assert not fold["done"].keys() & fold["skipped"].keys()
    assert fold["place"] not in fold["done"]
    assert fold["place"] not in fold["skipped"]


@calmly
@given(st.lists(JSON, max_size=6), LOGS)
def test_rubbish_among_the_events_changes_only_the_count(rubbish: list[Any], log: list[Any]) -> None:
    with_rubbish, alone = fold_journal(PACK, [*rubbish, *log]), fold_journal(PACK, log)
    assert {**with_rubbish, "unknown": 0} == {**alone, "unknown": 0}
    assert with_rubbish["unknown"] >= alone["unknown"]


@calmly
@given(JSON)
def test_whatever_comes_as_an_event_is_either_sound_or_has_named_problems(item: Any) -> None:
    assert all(set(problem) == {"code", "at"} for problem in event_problems(item))
    if not isinstance(item, dict) or "hlc" not in item:
        assert event_problems(item)


def sound_event() -> dict[str, Any]:
    return {
        "id": "01928b6e-7c00-7000-8000-000000000001", "device": DEVICES[0], "seq": 1,
        "job": "01928b6e-7c00-7000-8000-0000000000aa", "kind": "ReadingTaken",
        "body": {"step": "pads", "check": "pad_thickness", "value": 1.2, "unit": "mm", "as_typed": "1.2",
                 "verdict": "within"},
        "hlc": f"001764057660000-0000-{DEVICES[0][:8]}", "wall": "2025-11-25T08:01:00Z", "pack": "ab" * 32,
        "prev": None, "schema": 1,
    }


@pytest.mark.parametrize("value", [float("nan"), float("inf"), float("-inf"), 10**400])
def test_a_reading_that_is_no_number_is_a_problem(value: float) -> None:
    event = sound_event()
    assert event_problems(event) == []
    event["body"]["value"] = value
    assert event_problems(event) == [{"code": "event_field_wrong", "at": "body.value"}]
    assert fold_journal(PACK, [event])["readings"] == []
    assert fold_journal(PACK, [event])["unknown"] == 1


@pytest.mark.parametrize("extra", [float("nan"), 2**53 + 1, 10**21, "half a \ud83d", {1: "no text"}, {"a", "set"}])
def test_what_has_no_canonical_form_is_a_problem(extra: Any) -> None:
    event = sound_event()
    event["body"]["more"] = extra
    assert event_problems(event) == [{"code": "event_no_canonical_form", "at": ""}]


def test_a_verdict_of_what_is_no_number_is_unknown() -> None:
    assert [verdict(PACK, "pads", value) for value in (float("nan"), float("inf"), True)] == ["unknown"] * 3


@calmly
@given(st.recursive(FLOATS, lambda inner: st.lists(inner, max_size=3)))
def test_numbers_are_written_as_the_independent_library_writes_them(value: Any) -> None:
    assert canonical_json(value).encode() == rfc8785.dumps(value)


@calmly
@given(JSON)
def test_texts_are_written_as_the_independent_library_writes_them(value: Any) -> None:
    assert canonical_json(value).encode() == rfc8785.dumps(value)


def test_hashes_are_those_of_the_independent_library() -> None:
    chance = random.Random(7)
    for _ in range(300):
        value = {"body": random_value(chance)}
        assert event_hash(value) == hashlib.sha256(rfc8785.dumps(value)).hexdigest()


@calmly
@example(9.533688723502971e16)
@example([1e20, -1e20, 123456789012345680000.0])
@given(JSON)
def test_a_canonical_text_reads_back_as_the_same_value(value: Any) -> None:
    again = json.loads(canonical_json(value))
    assert canonical_json(again) == canonical_json(value)


@calmly
@given(st.lists(st.uuids().map(str)), st.randoms(use_true_random=False))
def test_a_digest_does_not_know_order_or_repetition(ids: list[str], chance: Any) -> None:
    shuffled = ids + ids[:3]
    chance.shuffle(shuffled)
    assert job_digest(shuffled) == job_digest(ids)
    assert job_digest([*ids, "x"]) != job_digest(ids)


@calmly
@given(MOMENTS, st.lists(st.integers(-10**9, 10**9), min_size=1, max_size=30))
def test_the_clock_of_a_device_only_goes_forwards(start: int, jumps: list[int]) -> None:
    last = next_hlc(None, start, DEVICES[0])
    for jump in jumps:
        following = next_hlc(last, start + jump, DEVICES[0])
        assert following > last
        last = following


@calmly
@given(MOMENTS, MOMENTS, st.integers(0, 0xFFFF), st.integers(0, 0xFFFF))
def test_after_a_foreign_event_the_next_own_one_is_later_unless_the_foreign_clock_is_far_ahead(
    now: int, theirs: int, own_count: int, their_count: int
) -> None:
    local = f"{now:015d}-{own_count:04x}-{DEVICES[0][:8]}"
    foreign = f"{theirs:015d}-{their_count:04x}-{DEVICES[1][:8]}"
    merged = merge_hlc(local, foreign, now)
    following = next_hlc(merged, now, DEVICES[0])
    assert merged is not None
    assert following > local
    assert merge_hlc(merged, foreign, now) == merged, "read twice is read once"
    ahead, mine = hlc_stamp(foreign), hlc_stamp(following)
    assert ahead is not None
    assert mine is not None
    assert (mine > ahead) == (theirs <= now + DAY_MS)


def test_a_value_without_canonical_form_is_refused_by_name() -> None:
    with pytest.raises(Refused) as caught:
        canonical_json({"a": [float("nan")]})
    assert (caught.value.code, caught.value.values) == ("no_canonical_form", {"what": "nan"})
