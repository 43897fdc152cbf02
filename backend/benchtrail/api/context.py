"""What every route needs: the services' ports, who is asking, and typed forms of flask-smorest's decorators."""

from collections.abc import Callable
from typing import Any, Literal, TypeVar, cast

from flask import Flask, Response, current_app, request
from flask_smorest import Blueprint as SmorestBlueprint  # type: ignore[import-untyped]
from marshmallow import Schema
from webargs.flaskparser import FlaskParser

from benchtrail.domain.refused import Refused
from benchtrail.services.accounts import SignedIn, signed_in
from benchtrail.services.devices import device_of
from benchtrail.services.job_list import KeptRows
from benchtrail.services.ports import Ports
from benchtrail.services.records import Dealer, Device

Route = TypeVar("Route", bound=Callable[..., Any])
LOOPBACK = ("localhost", "127.0.0.1")
# Which roles may do what a role may. An author may review what another one wrote.
MAY = {"owner": ("owner",), "author": ("owner", "author"), "reviewer": ("owner", "author", "reviewer"),
       "reader": ("owner", "author", "reviewer", "reader")}
DEVICE_COOKIE, DESK_COOKIE = "benchtrail_device", "benchtrail_desk"


class _Parser(FlaskParser):
    DEFAULT_VALIDATION_STATUS = 400


class Blueprint(SmorestBlueprint):  # type: ignore[misc]
    """flask-smorest's blueprint with types, and 400 for bodies that are not as described."""

    ARGUMENTS_PARSER = _Parser()

    def at(self, rule: str, method: str = "GET", **options: Any) -> Callable[[Route], Route]:
        return cast(Callable[[Route], Route], self.route(rule, methods=[method], **options))

    def takes(self, schema: type[Schema], where: str = "json") -> Callable[[Route], Route]:
        return cast(Callable[[Route], Route], self.arguments(schema, location=where))

    def answers(self, status: int, schema: type[Schema] | None = None, many: bool = False) -> Callable[[Route], Route]:
        return cast(Callable[[Route], Route], self.response(status, schema(many=many) if schema else None))

    def describes(self, **words: Any) -> Callable[[Route], Route]:
        return cast(Callable[[Route], Route], self.doc(**words))


def keep_ports(app: Flask, ports: Ports) -> None:
    """Hands the ports to the app's routes."""
    app.extensions["benchtrail"] = ports
    app.extensions["benchtrail rows"] = KeptRows()


def kept_rows() -> KeptRows:
    """Rows of the list of jobs that the app that answers has folded already."""
    return cast(KeptRows, current_app.extensions["benchtrail rows"])


def ports() -> Ports:
    """The ports of the app that answers."""
    return cast(Ports, current_app.extensions["benchtrail"])


def this_device() -> tuple[Device, Dealer]:
    """The enrolled phone that asks. Raises Refused: not_enrolled, device_shut_out."""
    return device_of(ports(), read_cookie(DEVICE_COOKIE))


def at_desk(right: Literal["owner", "author", "reviewer", "reader"] = "reader") -> SignedIn:
    """Who sits at the desk, if they may do what that role may. Read anew for every request: a role that is taken away is
    gone at once. Raises Refused: not_signed_in, owner_only, author_only, reviewer_only."""
    who = signed_in(ports(), read_cookie(DESK_COOKIE))
    if who.account.role not in MAY[right]:
        raise Refused(f"{right}_only")
    return who


def address() -> str:
    """Where the request comes from, as far as the server can know."""
    return request.remote_addr or "unknown"


def read_cookie(name: str) -> str | None:
    """The cookie's value, from its secure form when the connection is secure."""
    return request.cookies.get(_cookie_name(name))


def set_cookie(response: Response, name: str, value: str, max_age_s: int) -> None:
    """A cookie that no script can read; over HTTPS bound to this very host (RFC 6265bis, `__Host-`)."""
    response.set_cookie(_cookie_name(name), value, max_age=max_age_s, secure=request.is_secure, httponly=True,
                        samesite="Lax", path="/")


def drop_cookie(response: Response, name: str) -> None:
    """Takes the cookie away."""
    response.delete_cookie(_cookie_name(name), secure=request.is_secure, httponly=True, samesite="Lax", path="/")


def base_url() -> str:
    """How this server is reached from outside, without a slash at the end."""
    public = current_app.config.get("BENCHTRAIL_PUBLIC_URL")
    if not public and request.host.partition(":")[0] in LOOPBACK:
        # A phone that scans this cannot reach the desk's own "localhost".
        public = current_app.config.get("BENCHTRAIL_NETWORK_URL")
    return str(public) if public else request.host_url.rstrip("/")


def _cookie_name(name: str) -> str:
    return f"__Host-{name}" if request.is_secure else name
