"""Passkeys in a real browser with its virtual authenticator: added, used in place of the password, named, removed."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, expect
from tests.offline.demo_server import DemoServer, sign_in
from tests.offline.test_accessibility import context_of, violations

pytestmark = pytest.mark.browser


def test_a_person_signs_in_with_a_passkey_of_their_own_device(browser: Browser, server: DemoServer) -> None:
    context = context_of(browser, 1280, 900)
    page = context.new_page()
    tools = context.new_cdp_session(page)
    tools.send("WebAuthn.enable")
    held = tools.send("WebAuthn.addVirtualAuthenticator", {"options": {
        "protocol": "ctap2", "transport": "internal", "hasResidentKey": True, "hasUserVerification": True, "isUserVerified": True,
        "automaticPresenceSimulation": True}})["authenticatorId"]
    address = server.address.replace("127.0.0.1", "localhost")  # a passkey is bound to a name, never to a number
    sign_in(page, f"{address}/desk/account")
    page.get_by_label("Name of the device or key").fill("workshop tablet")
    page.get_by_label("Your password, to be sure it is you").fill("not the password")
    page.get_by_role("button", name="Add a passkey").click()
    expect(page.get_by_role("alert")).to_be_visible()
    page.get_by_label("Your password, to be sure it is you").fill("bench and trail")
    page.get_by_role("button", name="Add a passkey").click()
    row = page.get_by_role("listitem").filter(has_text="workshop tablet")
    expect(row).to_contain_text("not used yet")
    assert len(tools.send("WebAuthn.getCredentials", {"authenticatorId": held})["credentials"]) == 1
    assert violations(page) == []

    page.get_by_role("button", name="Sign out", exact=True).click()
    page.get_by_role("button", name="Use a passkey instead").click()
    expect(page.get_by_text("anna, author")).to_be_visible()
    page.goto(f"{address}/desk/account")
    expect(row).to_contain_text("last used")
    page.get_by_label("Another name for workshop tablet").fill("blue key")
    page.get_by_role("button", name="Name it so").click()
    expect(page.get_by_role("button", name="Remove blue key")).to_be_visible()
    page.get_by_role("button", name="Remove blue key").click()
    expect(page.get_by_text("There is none yet.")).to_be_visible()

    page.get_by_role("button", name="Sign out", exact=True).click()
    page.get_by_role("button", name="Use a passkey instead").click()
    expect(page.get_by_text("This passkey does not open this desk.")).to_be_visible()
    tools.send("WebAuthn.setUserVerified", {"authenticatorId": held, "isUserVerified": False})
    page.get_by_role("button", name="Use a passkey instead").click()
    expect(page.get_by_role("button", name="Use a passkey instead")).to_be_enabled()
    page.goto(f"{server.address}/desk")
    expect(page.get_by_role("button", name="Sign in", exact=True)).to_be_visible()
    expect(page.get_by_role("button", name="Use a passkey instead")).to_have_count(0)
    context.close()
