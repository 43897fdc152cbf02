"""Rights, invitations, passwords set with codes, sessions, the first owner, and the audit log that says who did it."""

from dataclasses import replace

import pytest
from tests.making import PASSWORD, SetClock, memory_ports, with_dealer

from benchtrail.domain.refused import Refused
from benchtrail.services.accounts import sign_in, signed_in
from benchtrail.services.audit import audit_all, audit_page, first_break, record_act
from benchtrail.services.doctor import examine
from benchtrail.services.people import (
    change_own_password,
    change_role,
    close_account,
    end_one_session,
    invite,
    make_password_code,
    people_of,
    reopen_account,
    sessions_of,
    set_password_with_code,
)
from benchtrail.services.ports import Ports
from benchtrail.services.set_up import set_up, set_up_code, set_up_needed, slug_of

DEALER, HERE, NEW = "withen-bridge", "192.0.2.1", "another long password"


def acts(ports: Ports, dealer: str = DEALER) -> list[str]:
    return [line.act for line in audit_all(ports, dealer)]


def refusal(call: object, *given: object) -> str:
    with pytest.raises(Refused) as refused:
        call(*given)  # type: ignore[operator]
    return refused.value.code


def test_someone_invited_sets_their_own_password_and_signs_in(ports: Ports) -> None:
    account, code, _ = invite(ports, DEALER, "Dora", "reviewer", "olive")
    assert refusal(sign_in, ports, "dora", "", HERE) == "sign_in_refused"
    assert [one.state for one in people_of(ports, DEALER) if one.account.name == "dora"] == ["waiting"]
    assert set_password_with_code(ports, f"{code[:4]}-{code[4:].lower()}", NEW, HERE) == "dora"
    token, who = sign_in(ports, "dora", NEW, HERE)
    assert (who.account.role, account.role) == ("reviewer", "reviewer")
    assert signed_in(ports, token).account.name == "dora"
    assert refusal(invite, ports, DEALER, "dora", "reader", "olive") == "account_exists"


def test_a_reset_halfway_leaves_the_old_password_in_force(ports: Ports, clock: SetClock) -> None:
    code, _ = make_password_code(ports, DEALER, "ben", "olive")
    assert refusal(set_password_with_code, ports, code, "short", HERE) == "password_length"
    sign_in(ports, "ben", PASSWORD, HERE)
    clock.move(hours=25)
    assert refusal(set_password_with_code, ports, code, NEW, HERE) == "password_code_expired"
    sign_in(ports, "ben", PASSWORD, HERE)


def test_a_password_code_works_once_and_only_the_newest(ports: Ports) -> None:
    older, _ = make_password_code(ports, DEALER, "ben", "olive")
    newer, _ = make_password_code(ports, DEALER, "ben", "olive")
    token, _ = sign_in(ports, "ben", PASSWORD, HERE)
    assert refusal(set_password_with_code, ports, older, NEW, HERE) == "password_code_used"
    set_password_with_code(ports, newer, NEW, HERE)
    assert refusal(signed_in, ports, token) == "not_signed_in"
    assert refusal(set_password_with_code, ports, newer, NEW, HERE) == "password_code_used"
    assert refusal(set_password_with_code, ports, "23456789", NEW, HERE) == "password_code_unknown"


def test_guessing_password_codes_is_slowed_down(ports: Ports) -> None:
    for _ in range(20):
        assert refusal(set_password_with_code, ports, "AAAAAAAA", NEW, HERE) == "password_code_unknown"
    code, _ = make_password_code(ports, DEALER, "ben", "olive")
    assert refusal(set_password_with_code, ports, code, NEW, HERE) == "too_many_attempts"
    assert set_password_with_code(ports, code, NEW, "192.0.2.99") == "ben"


def test_ones_own_password_needs_the_old_one(ports: Ports) -> None:
    token, _ = sign_in(ports, "ben", PASSWORD, HERE)
    assert refusal(change_own_password, ports, "ben", "not this one", NEW, HERE) == "old_password_wrong"
    change_own_password(ports, "ben", PASSWORD, NEW, HERE)
    assert refusal(signed_in, ports, token) == "not_signed_in"
    sign_in(ports, "ben", NEW, HERE)


def test_a_role_taken_away_is_gone_for_whoever_is_signed_in(ports: Ports) -> None:
    token, _ = sign_in(ports, "anna", PASSWORD, HERE)
    change_role(ports, DEALER, "anna", "reader", "olive")
    assert signed_in(ports, token).account.role == "reader"
    close_account(ports, DEALER, "anna", "olive")
    assert refusal(signed_in, ports, token) == "not_signed_in"
    assert refusal(sign_in, ports, "anna", PASSWORD, HERE) == "sign_in_refused"
    assert refusal(make_password_code, ports, DEALER, "anna", "olive") == "account_closed"
    reopen_account(ports, DEALER, "anna", "olive")
    sign_in(ports, "anna", PASSWORD, HERE)


def test_a_code_made_before_closing_opens_nothing_after(ports: Ports) -> None:
    code, _ = make_password_code(ports, DEALER, "ben", "olive")
    close_account(ports, DEALER, "ben", "olive")
    assert refusal(set_password_with_code, ports, code, NEW, HERE) == "password_code_used"


def test_the_last_owner_stays(ports: Ports) -> None:
    assert refusal(change_role, ports, DEALER, "olive", "reader", "olive") == "last_owner"
    assert refusal(close_account, ports, DEALER, "olive", "olive") == "last_owner"
    change_role(ports, DEALER, "anna", "owner", "olive")
    change_role(ports, DEALER, "olive", "reader", "anna")
    assert [one.account.role for one in people_of(ports, DEALER)] == ["owner", "reader", "reader", "reviewer"]


def test_people_of_another_dealer_are_unknown(ports: Ports) -> None:
    with_dealer(ports, "other")
    for call in (close_account, reopen_account, make_password_code):
        assert refusal(call, ports, DEALER, "ben-other", "olive") == "account_unknown"
    assert refusal(change_role, ports, DEALER, "ben-other", "owner", "olive") == "account_unknown"
    sign_in(ports, "ben-other", PASSWORD, HERE)
    assert sessions_of(ports, DEALER) == []


def test_signed_in_browsers_are_listed_and_signed_out(ports: Ports, clock: SetClock) -> None:
    token, _ = sign_in(ports, "ben", PASSWORD, HERE, "A browser on a tablet\x00")
    sign_in(ports, "anna", PASSWORD, HERE, "Another")
    (mine,) = sessions_of(ports, DEALER, "ben")
    assert mine.browser == "A browser on a tablet"
    assert len(sessions_of(ports, DEALER)) == 2
    assert refusal(end_one_session, ports, DEALER, mine.id, "anna", True) == "no_such_session"
    assert refusal(end_one_session, ports, "other", mine.id, "anna", False) == "no_such_session"
    end_one_session(ports, DEALER, mine.id, "olive", False)
    assert refusal(signed_in, ports, token) == "not_signed_in"
    clock.move(hours=13)
    assert sessions_of(ports, DEALER) == []


def test_every_act_stands_in_the_audit_log_and_the_chain_holds(ports: Ports) -> None:
    with_dealer(ports, "other")
    invite(ports, DEALER, "dora", "author", "olive")
    change_role(ports, DEALER, "dora", "reader", "olive")
    close_account(ports, DEALER, "dora", "olive")
    refusal(sign_in, ports, "ben", "wrong password", HERE)
    sign_in(ports, "ben", PASSWORD, HERE)
    assert acts(ports)[4:] == ["account_made", "role_changed", "account_closed", "sign_in_refused", "signed_in"]
    lines = audit_all(ports, DEALER)
    assert first_break(lines) is None
    assert (lines[5].by, lines[5].subject, lines[5].values) == ("olive", "dora", {"was": "author", "now": "reader"})
    assert acts(ports, "other") == ["account_made"] * 4


def test_a_line_changed_taken_out_or_put_in_between_is_found(ports: Ports) -> None:
    lines = audit_all(ports, DEALER)
    assert first_break([lines[0], replace(lines[1], by="somebody"), *lines[2:]]) == 2
    assert first_break([lines[0], *lines[2:]]) == 2
    assert first_break([*lines[:2], lines[1], *lines[2:]]) == 3
    assert first_break([replace(lines[0], values={"role": "owner"}), *lines[1:]]) == 1


def test_the_doctor_names_a_broken_chain(ports: Ports) -> None:
    assert "audit_log_changed" not in [one.code for one in examine(ports)]
    lines = ports.storage._tables.audit  # type: ignore[attr-defined]
    lines[1] = replace(lines[1], by="somebody")
    (found,) = [one for one in examine(ports) if one.code == "audit_log_changed"]
    assert (found.grave, found.values) == (True, {"dealer": DEALER, "number": 2})


def test_the_log_is_read_a_page_at_a_time(ports: Ports) -> None:
    with ports.storage.writing() as unit:
        for number in range(150):
            record_act(unit, ports, DEALER, "olive", "exported", str(number))
    lines, more = audit_page(ports, DEALER)
    assert (len(lines), more, lines[0].subject) == (100, True, "149")
    older, more = audit_page(ports, DEALER, lines[-1].number)
    assert (len(older), more) == (54, False)


def test_a_new_server_is_set_up_once_with_the_code_it_printed() -> None:
    ports = memory_ports()
    assert set_up_needed(ports)
    code = set_up_code(ports)
    assert code == set_up_code(ports)
    assert refusal(set_up, ports, "AAAAAAAA", "New Dealer", "olive", NEW, HERE) == "set_up_code_wrong"
    assert refusal(set_up, ports, code, "New Dealer", "olive", "short", HERE) == "password_length"
    assert refusal(set_up, ports, code, "  ", "olive", NEW, HERE) == "dealer_name_empty"
    assert set_up_needed(ports)
    dealer, account = set_up(ports, code.lower(), "Ünser Händler & Söhne", "Olive", NEW, HERE)
    assert (dealer.slug, account.role) == ("nser-h-ndler-s-hne", "owner")
    sign_in(ports, "olive", NEW, HERE)
    assert refusal(set_up, ports, code, "Again", "mallory", NEW, HERE) == "set_up_done"
    assert acts(ports, dealer.slug) == ["set_up", "signed_in"]


def test_guessing_the_set_up_code_is_slowed_down() -> None:
    ports = memory_ports()
    for _ in range(10):
        assert refusal(set_up, ports, "AAAAAAAA", "New Dealer", "olive", NEW, HERE) == "set_up_code_wrong"
    assert refusal(set_up, ports, set_up_code(ports), "New Dealer", "olive", NEW, HERE) == "too_many_attempts"


def test_a_short_name_is_made_of_any_name() -> None:
    assert slug_of("Withen Bridge Offroad") == "withen-bridge-offroad"
    assert slug_of("雪") == "dealer"
    assert len(slug_of("x" * 200)) <= 60
