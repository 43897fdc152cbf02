"""Canonical JSON, so that a hash made on a phone equals the hash made on the server.

Knows RFC 8785 (JSON Canonicalization Scheme); must not know what is hashed. Standard library only.
"""

import json
import math
import re
from decimal import Decimal
from typing import Any

from benchtrail.domain.refused import Refused

HIGHEST_EXACT = 2**53 - 1
_SURROGATE = re.compile("[\ud800-\udfff]")
_quoted = json.JSONEncoder(ensure_ascii=False).encode


def canonical_json(value: Any) -> str:
    """The canonical text of a JSON value: keys in the order of UTF-16 code units, no spaces, numbers as in ECMAScript.

    Raises Refused("no_canonical_form") for what JSON has no word for: NaN, infinity, half a surrogate pair, a whole
    number that no double holds, other types. Source: RFC 8785, sections 3.2.2 and 3.2.3.
    """
    if value is None or isinstance(value, bool):
        return {None: "null", True: "true", False: "false"}[value]
    if isinstance(value, int | float):
        return canonical_number(value)
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, list | tuple):
        return f"[{','.join(canonical_json(item) for item in value)}]"
    if isinstance(value, dict):
        return _object(value)
    raise Refused("no_canonical_form", what=type(value).__name__)


def canonical_number(value: int | float) -> str:
    """The shortest text that gives the same double again, in the form of ECMAScript's Number::toString.

    Source: RFC 8785, section 3.2.2.3 and appendix B; ECMA-262, Number::toString. Raises as canonical_json.
    """
    number = _double(value)
    if number == 0:
        return "0"
    digits, point = _shortest(abs(number))
    text = ("-" if number < 0 else "") + _placed(digits, point)
    # past 2^53 a whole number is taken only as some double is written, so that it was one before it became text
    if isinstance(value, int) and abs(value) > HIGHEST_EXACT and text != str(value):
        raise Refused("no_canonical_form", what=str(value)[:40])
    return text


def utf16_order(text: str) -> bytes:
    """A sort key: the order of UTF-16 code units, in which ECMAScript compares texts."""
    return text.encode("utf-16-be", "surrogatepass")


def _double(value: int | float) -> float:
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise Refused("no_canonical_form", what=str(value)[:40])
    return number


def _shortest(number: float) -> tuple[str, int]:
    """The shortest digits of a positive double, and how many of them stand before the decimal point (or below 0)."""
    _, digits, exponent = Decimal(repr(number)).as_tuple()
    text = "".join(map(str, digits))
    return text.rstrip("0"), len(text) + int(exponent)


def _placed(digits: str, point: int) -> str:
    count = len(digits)
    if count <= point <= 21:
        return digits + "0" * (point - count)
    if 0 < point <= 21:
        return f"{digits[:point]}.{digits[point:]}"
    if -6 < point <= 0:
        return f"0.{'0' * -point}{digits}"
    fraction = f".{digits[1:]}" if count > 1 else ""
    return f"{digits[0]}{fraction}e{'+' if point > 0 else '-'}{abs(point - 1)}"


def _text(value: str) -> str:
    if _SURROGATE.search(value):
        raise Refused("no_canonical_form", what="half a surrogate pair")
    return _quoted(value)


def _object(value: dict[Any, Any]) -> str:
    if not all(isinstance(key, str) for key in value):
        raise Refused("no_canonical_form", what="a key that is no text")
    keys = sorted(value, key=utf16_order)
    return "{" + ",".join(f"{_text(key)}:{canonical_json(value[key])}" for key in keys) + "}"
