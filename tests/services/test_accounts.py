"""Accounts of the desk: made, signed in, slowed down, signed out."""

import pytest
from tests.making import PASSWORD, SetClock

from benchtrail.domain.refused import Refused
from benchtrail.services.accounts import add_account, change_password, sign_in, sign_out, signed_in
from benchtrail.services.ports import Ports

ADDRESS = "192.0.2.1"


def test_the_right_password_signs_in_and_the_token_says_who_it_is(ports: Ports) -> None:
    token, who = sign_in(ports, " Anna ", PASSWORD, ADDRESS)
    assert (who.account.name, who.account.role, who.dealer.slug) == ("anna", "author", "withen-bridge")
    assert signed_in(ports, token) == who


WRONG = [("anna", "wrong password"), ("nobody", PASSWORD), ("anna", ""), ("", "")]


@pytest.mark.parametrize(("name", "password"), WRONG)
def test_a_wrong_pair_is_refused_without_saying_which_half(ports: Ports, name: str, password: str) -> None:
    with pytest.raises(Refused, match="sign_in_refused"):
        sign_in(ports, name, password, ADDRESS)


def test_a_password_is_kept_only_as_argon2id_hash(ports: Ports) -> None:
    with ports.storage.reading() as unit:
        account = unit.accounts.get("anna")
    assert account is not None
    assert account.password_hash.startswith("$argon2id$")
    assert PASSWORD not in account.password_hash


def test_guessing_one_name_is_slowed_down_from_any_address(ports: Ports, clock: SetClock) -> None:
    for number in range(8):
        with pytest.raises(Refused, match="sign_in_refused"):
            sign_in(ports, "anna", "wrong", f"192.0.2.{number}")
    with pytest.raises(Refused, match="too_many_attempts"):
        sign_in(ports, "anna", PASSWORD, "192.0.2.99")
    sign_in(ports, "ben", PASSWORD, "192.0.2.99")
    clock.move(minutes=10)
    sign_in(ports, "anna", PASSWORD, "192.0.2.99")


def test_guessing_many_names_from_one_address_is_slowed_down(ports: Ports) -> None:
    for number in range(40):
        with pytest.raises(Refused, match="sign_in_refused"):
            sign_in(ports, f"name{number}", "wrong", ADDRESS)
    with pytest.raises(Refused, match="too_many_attempts"):
        sign_in(ports, "anna", PASSWORD, ADDRESS)


def test_a_session_ends_after_twelve_hours_or_by_signing_out(ports: Ports, clock: SetClock) -> None:
    token, _ = sign_in(ports, "anna", PASSWORD, ADDRESS)
    clock.move(hours=11, minutes=59)
    signed_in(ports, token)
    clock.move(minutes=1)
    with pytest.raises(Refused, match="not_signed_in"):
        signed_in(ports, token)
    other, _ = sign_in(ports, "anna", PASSWORD, ADDRESS)
    sign_out(ports, other)
    with pytest.raises(Refused, match="not_signed_in"):
        signed_in(ports, other)


def test_a_new_password_ends_every_session(ports: Ports) -> None:
    token, _ = sign_in(ports, "anna", PASSWORD, ADDRESS)
    change_password(ports, "anna", "another long password")
    with pytest.raises(Refused, match="not_signed_in"):
        signed_in(ports, token)
    sign_in(ports, "anna", "another long password", ADDRESS)


@pytest.mark.parametrize(("name", "password", "dealer", "code"), [
    ("a", PASSWORD, "withen-bridge", "account_name_form"),
    ("anna smith", PASSWORD, "withen-bridge", "account_name_form"),
    ("anna", PASSWORD, "withen-bridge", "account_exists"),
    ("carl", "too short", "withen-bridge", "password_length"),
    ("carl", "x" * 201, "withen-bridge", "password_length"),
    ("carl", PASSWORD, "nowhere", "no_such_dealer"),
])
def test_an_account_that_cannot_be_is_refused(ports: Ports, name: str, password: str, dealer: str, code: str) -> None:
    with pytest.raises(Refused, match=code):
        add_account(ports, dealer, name, "reader", password)


def test_a_password_for_nobody_is_refused(ports: Ports) -> None:
    with pytest.raises(Refused, match="account_unknown"):
        change_password(ports, "nobody", PASSWORD)
