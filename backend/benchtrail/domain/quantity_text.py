"""Reads the numbers, bounds and separators of a typed quantity: `30–40 mm`, `10 ± 1`, `at least 1.0`, `1 1/2 in`.

Knows how people write numbers; knows no unit and converts nothing.
"""

import re
from dataclasses import dataclass

from benchtrail.domain.refused import Refused

LONGEST_TEXT = 120

_SPACES = ("\t\n\r\v\f\u0085\u00a0\u1680\u2000\u2001\u2002\u2003\u2004\u2005\u2006\u2007\u2008\u2009\u200a"
           "\u202f\u205f\u3000")
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_ALIKE = {
    "\u2212": "-", "\u2010": "-", "\u2011": "-", "\u2012": "–", "\u2014": "–", "\u2015": "–", "\u22c5": "·",
    "\u2219": "·", "\u2022": "·", "\u2027": "·", "\u2044": "/", "\u2215": "/", "\u03bc": "µ", "\u00ba": "°",
    "\u2032": "'", "\u2019": "'", "\u2033": '"', "\u201c": '"', "\u201d": '"', "\u2103": "°C", "\u2109": "°F",
    "\u2236": ":", "\u2026": "...", "\u200b": "", "\u2060": "", "\ufeff": "",
}

# mixed fraction | fraction | digit groups parted by spaces | digits with points and commas
_NUMBER = re.compile(r"[0-9]+[ -][0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9]{1,3}(?: [0-9]{3})+(?:[.,][0-9]+)?(?![0-9])"
                     r"|[0-9][0-9.,]*[0-9]|[0-9]|[.,][0-9]+")
_LOW_WORDS = r"at least|not less than|no less than|minimum|min\.?|more than|over|above|from|>=|≥|>"
_HIGH_WORDS = r"at most|not more than|no more than|up to|maximum|max\.?|less than|under|below|<=|≤|<"
_BOUND_BEFORE = re.compile(rf"^(?:({_LOW_WORDS})|({_HIGH_WORDS}))?\s*([+-]?)$", re.IGNORECASE)
_LOW_AFTER = r"min\.?|minimum|or more|at least|and over"
_HIGH_AFTER = r"max\.?|maximum|or less|at most"
_BOUND_AFTER = re.compile(rf"^(.*?[^ ])[ ,]+(?:({_LOW_AFTER})|({_HIGH_AFTER}))$", re.IGNORECASE)
_BETWEEN = re.compile(r"^(.*?)\s*(±|\+/-|\+-|-|–|\bto\b|\band\b|\.\.\.?)\s*([+-]?)$", re.IGNORECASE)
_UP_DOWN = re.compile(r"^(.*?)\s*\(?\s*\+$")
_DOWN = re.compile(r"^(.*?)\s*[/,]?\s*-$")
_PLUS_MINUS = {"±", "+/-", "+-"}


@dataclass(frozen=True)
class Reading:
    """A quantity before units: numbers as written (`value` or `low`, `high`), unit words, text with a decimal point."""

    value: float | None
    low: float | None
    high: float | None
    unit_text: str
    text: str
    tolerance_is_percent: bool = False
    clock: bool = False


@dataclass(frozen=True)
class Piece:
    """One number as found: its value and its text with a decimal point."""

    value: float
    text: str


def plain_text(text: str) -> str:
    """`text` with one kind of space, minus, dash, middle dot and quote, fractions spelled out, trimmed."""
    for char in _SPACES:
        text = text.replace(char, " ")
    for char, written in _VULGAR.items():
        text = text.replace(char, f" {written}")
    for char, written in _ALIKE.items():
        text = text.replace(char, written)
    text = re.sub(r"([A-Za-z])\^?([23])(?![0-9])", lambda m: m[1] + ("²" if m[2] == "2" else "³"), text)
    return re.sub(" +", " ", text).strip(" ")


def number_piece(token: str) -> Piece:
    """The number that `token` stands for. Raises `number_ambiguous` for `1,500`, `number_unreadable` otherwise."""
    if "/" in token:
        whole, _, fraction = token.replace("-", " ").rpartition(" ")
        top, _, bottom = fraction.partition("/")
        if int(bottom) == 0 or (whole and int(top) >= int(bottom)):
            raise Refused("number_unreadable", written=token)
        return Piece(int(whole or 0) + int(top) / int(bottom), f"{whole} {fraction}".strip(" "))
    plain = _decimal_point(token.replace(" ", ""))
    return Piece(float(plain), f"0{plain}" if plain.startswith(".") else plain)


def _decimal_point(token: str) -> str:
    """Digits with points and commas → digits with at most one point."""
    if re.fullmatch(r"[1-9][0-9]{0,2},[0-9]{3}", token):
        candidates = f"{token.replace(',', '.')} or {token.replace(',', '')}"
        raise Refused("number_ambiguous", written=token, candidates=candidates)
    if re.fullmatch(r"[0-9]*[.,]?[0-9]+", token):
        return token.replace(",", ".")
    if re.fullmatch(r"[0-9]{1,3}(?:,[0-9]{3})+(?:\.[0-9]+)?", token):
        return token.replace(",", "")
    if re.fullmatch(r"[0-9]{1,3}(?:\.[0-9]{3})+(?:,[0-9]+)?", token):
        return token.replace(".", "").replace(",", ".")
    raise Refused("number_unreadable", written=token)


def read_quantity_text(text: str) -> Reading:
    """Numbers and unit words of `text`. Raises `quantity_empty`, `quantity_too_long`, `quantity_unreadable`,
    `number_unreadable`, `number_ambiguous`, `range_backwards`, `units_mixed`."""
    if len(text) > LONGEST_TEXT:
        raise Refused("quantity_too_long", limit=str(LONGEST_TEXT))
    plain = plain_text(text)
    if not plain:
        raise Refused("quantity_empty")
    tokens = [(m.start(), m.end(), m[0]) for m in _NUMBER.finditer(plain)]
    pieces = [number_piece(token) for _, _, token in tokens]
    ends = [0, *(end for _, end, _ in tokens)]
    starts = [*(start for start, _, _ in tokens), len(plain)]
    others = [plain[a:b].strip(" ") for a, b in zip(ends, starts, strict=True)]
    readers = {1: _read_one, 2: _read_two, 3: _read_three}
    if len(pieces) not in readers:
        raise Refused("quantity_unreadable", written=plain)
    return readers[len(pieces)](plain, pieces, others)


def _signed(piece: Piece, sign: str) -> Piece:
    return Piece(-piece.value, f"-{piece.text}") if sign == "-" else piece


def _read_one(plain: str, pieces: list[Piece], others: list[str]) -> Reading:
    before, unit = _BOUND_BEFORE.match(others[0]), others[1]
    if not before:
        raise Refused("quantity_unreadable", written=plain)
    piece = _signed(pieces[0], before[3])
    after = _BOUND_AFTER.match(unit)
    low, high = bool(before[1]), bool(before[2])
    if after and not (low or high):
        unit, low, high = after[1], bool(after[2]), bool(after[3])
    if low:
        return Reading(None, piece.value, None, unit, f"at least {piece.text}")
    if high:
        return Reading(None, None, piece.value, unit, f"at most {piece.text}")
    return Reading(piece.value, None, None, unit, piece.text)


def _read_two(plain: str, pieces: list[Piece], others: list[str]) -> Reading:
    opening = re.match(r"^(between|from|range)?\s*([+-]?)$", others[0], re.IGNORECASE)
    if others[1] == ":" and not others[0]:
        return _read_colon(pieces, others[2])
    between = _BETWEEN.match(others[1])
    if not opening or not between:
        raise Refused("quantity_unreadable", written=plain)
    first, second = _signed(pieces[0], opening[2]), _signed(pieces[1], between[3])
    if between[2] in _PLUS_MINUS:
        return _read_tolerance(first, second, between[1], others[2])
    unit = _one_unit(between[1], others[2])
    if first.value > second.value:
        raise Refused("range_backwards", low=first.text, high=second.text)
    return Reading(None, first.value, second.value, unit, f"{first.text} to {second.text}")


def _read_tolerance(value: Piece, tolerance: Piece, first_unit: str, second_unit: str) -> Reading:
    percent = second_unit.startswith("%")
    unit = (first_unit or second_unit[1:].strip(" ")) if percent else _one_unit(first_unit, second_unit)
    room = abs(value.value) * tolerance.value / 100 if percent else tolerance.value
    text = f"{value.text} ± {tolerance.text}" + (" %" if percent else "")
    return Reading(value.value, value.value - room, value.value + room, unit, text, percent)


def _read_three(plain: str, pieces: list[Piece], others: list[str]) -> Reading:
    """`10 +2/-1 N·m`: a value with unlike tolerances."""
    up, down = _UP_DOWN.match(others[1]), _DOWN.match(others[2])
    opening = re.match(r"^[+-]?$", others[0])
    if not (up and down and opening):
        raise Refused("quantity_unreadable", written=plain)
    unit = _one_unit(_one_unit(up[1], down[1]), others[3].replace(")", "").strip(" "))
    value = _signed(pieces[0], others[0])
    text = f"{value.text} +{pieces[1].text}/-{pieces[2].text}"
    return Reading(value.value, value.value - pieces[2].value, value.value + pieces[1].value, unit, text)


def _read_colon(pieces: list[Piece], unit: str) -> Reading:
    """`32:1` and `1:32` are the ratio 32; `12:30 h` is twelve and a half hours."""
    first, second = pieces
    if unit:
        if second.value >= 60 or len(second.text) != 2:
            raise Refused("number_unreadable", written=f"{first.text}:{second.text}")
        return Reading(first.value + second.value / 60, None, None, unit, f"{first.text}:{second.text}", clock=True)
    if second.value == 0 or first.value == 0:
        raise Refused("number_unreadable", written=f"{first.text}:{second.text}")
    big, small = (second, first) if first.value == 1 and second.value > 1 else (first, second)
    text = big.text if small.value == 1 else f"{big.text}:{small.text}"
    return Reading(big.value / small.value, None, None, ":1", text)


def _one_unit(first: str, second: str) -> str:
    """The one unit of two places where it may stand; `units_mixed` if they differ."""
    first, second = first.strip(" "), second.strip(" ")
    if first and second and first.lower() != second.lower():
        raise Refused("units_mixed", first=first, second=second)
    return second or first
