"""Enrolling phones: one code, one phone, ten minutes; shutting out."""

import threading
import uuid

import pytest
from tests.making import SetClock, with_dealer, with_device

from benchtrail.domain.refused import Refused
from benchtrail.services.devices import device_of, devices_of, enrol, make_code, revoke
from benchtrail.services.ports import Ports
from benchtrail.services.tokens import CODE_ALPHABET

ADDRESS = "192.0.2.1"


def code(ports: Ports) -> str:
    return make_code(ports, "withen-bridge", "Mrs Ashdown", "anna")[0]


def new_id() -> str:
    return str(uuid.uuid4())


def test_a_code_has_eight_characters_that_cannot_be_mistaken(ports: Ports) -> None:
    made = code(ports)
    assert len(made) == 8
    assert set(made) <= set(CODE_ALPHABET)
    assert not set(CODE_ALPHABET) & set("01OILUV")


def test_the_code_may_be_typed_in_any_case_and_grouping(ports: Ports) -> None:
    made = code(ports)
    credential, device, dealer = enrol(ports, f" {made[:4].lower()}-{made[4:]} ", new_id(), "", ADDRESS)
    assert (device.label, dealer.slug) == ("Mrs Ashdown", "withen-bridge")
    assert device_of(ports, credential)[0] == device


def test_neither_code_nor_credential_is_kept_as_it_is(ports: Ports) -> None:
    made = code(ports)
    credential, device, _ = enrol(ports, made, new_id(), "", ADDRESS)
    assert credential not in repr(device)
    with ports.storage.reading() as unit:
        assert unit.devices.code(made) is None


def test_a_code_enrols_one_phone_and_the_second_is_told_so(ports: Ports) -> None:
    made = code(ports)
    enrol(ports, made, new_id(), "", ADDRESS)
    with pytest.raises(Refused, match="code_used"):
        enrol(ports, made, new_id(), "", ADDRESS)


def test_a_code_of_ten_minutes_is_expired_and_one_second_earlier_is_not(ports: Ports, clock: SetClock) -> None:
    in_time, late = code(ports), code(ports)
    clock.move(minutes=9, seconds=59)
    enrol(ports, in_time, new_id(), "", ADDRESS)
    clock.move(seconds=1)
    with pytest.raises(Refused, match="code_expired"):
        enrol(ports, late, new_id(), "", ADDRESS)


def test_of_many_at_the_same_moment_one_phone_gets_the_code(ports: Ports) -> None:
    made, outcomes, start = code(ports), [], threading.Barrier(8)

    def try_it(number: int) -> None:
        start.wait()
        try:
            enrol(ports, made, new_id(), "", f"192.0.2.{number}")
            outcomes.append("enrolled")
        except Refused as refusal:
            outcomes.append(refusal.code)

    threads = [threading.Thread(target=try_it, args=(number,)) for number in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(outcomes) == ["code_used"] * 7 + ["enrolled"]
    assert len(devices_of(ports, "withen-bridge")) == 1


def test_guessing_is_slowed_down_by_address_and_named_with_its_wait(ports: Ports, clock: SetClock) -> None:
    for _ in range(20):
        with pytest.raises(Refused, match="code_unknown"):
            enrol(ports, "AAAAAAAA", new_id(), "", ADDRESS)
    clock.move(minutes=4)
    made = code(ports)
    with pytest.raises(Refused, match="too_many_attempts") as caught:
        enrol(ports, made, new_id(), "", ADDRESS)
    assert caught.value.values["wait_s"] == 360
    enrol(ports, made, new_id(), "", "192.0.2.2")
    clock.move(minutes=6)
    enrol(ports, code(ports), new_id(), "", ADDRESS)


def test_successes_do_not_count_as_guesses(ports: Ports) -> None:
    for _ in range(30):
        enrol(ports, code(ports), new_id(), "", ADDRESS)


@pytest.mark.parametrize("label", ["", "   ", "x" * 81, "tab\u0007bell"])
def test_words_that_say_nothing_are_refused(ports: Ports, label: str) -> None:
    with pytest.raises(Refused, match="label_length"):
        make_code(ports, "withen-bridge", label, "anna")


def test_a_phone_needs_a_uuid(ports: Ports) -> None:
    with pytest.raises(Refused, match="device_id_form"):
        enrol(ports, code(ports), "my-phone", "", ADDRESS)


def test_a_phone_that_is_shut_out_is_told_so_and_a_new_code_lets_it_in(ports: Ports) -> None:
    credential, device, _ = enrol(ports, code(ports), new_id(), "", ADDRESS)
    revoke(ports, "withen-bridge", device.device)
    with pytest.raises(Refused, match="device_shut_out"):
        device_of(ports, credential)
    fresh, again, _ = enrol(ports, code(ports), device.device, "", ADDRESS)
    assert again.revoked_at is None
    assert device_of(ports, fresh)[0].device == device.device
    with pytest.raises(Refused, match="not_enrolled"):
        device_of(ports, credential)


def test_a_dealer_cannot_shut_out_the_phone_of_another(ports: Ports) -> None:
    with_dealer(ports, "other")
    device = with_device(ports)
    with pytest.raises(Refused, match="no_such_device"):
        revoke(ports, "other", device.device)


@pytest.mark.parametrize("credential", [None, "", "x", "\ud83d"])
def test_a_stranger_is_not_enrolled(ports: Ports, credential: str | None) -> None:
    with pytest.raises(Refused, match="not_enrolled"):
        device_of(ports, credential)
