"""S2, S3, S4, D13, D14: tools that can do the step, lists that say what is needed, amounts and counts that agree.

Knows what steps name; plays nothing.
"""

import math
import re
from collections.abc import Iterator, Mapping
from functools import lru_cache
from typing import Any

from benchtrail.domain.checks.subject import Gathered, Job
from benchtrail.domain.checks.word_lists import FASTENERS, MOST_KEPT, NUMBER_WORDS
from benchtrail.domain.findings import Finding, Severity
from benchtrail.domain.map_text import TABLES
from benchtrail.domain.refused import Refused
from benchtrail.domain.units import parse_quantity

ERROR, BLOCK, NOTE = Severity.ERROR, Severity.BLOCK, Severity.NOTE
TORQUE_WRENCH = "torque_wrench"
TURNING = ("undo", "slacken", "tighten")
# a figure in words may be rounded; further off it is another figure. Source: our own step, as for D14
NEAR = 0.05
_ARMS = r"lbf?[·.\s-]?(?:ft|in)|(?:ft|in)[·.\s-]?lbf?s?"
_TORQUE = re.compile(rf"\b\d+(?:[.,]\d+)?\s?(?:N[·.]?\s?m|{_ARMS})\b")
_TIME = re.compile(rf"\b(\d+(?:[.,]\d+)?|one|{'|'.join(NUMBER_WORDS)})\s(?:more\s)?(seconds?|minutes?|min|hours?)\b",
                   re.IGNORECASE)
_VOLUME = re.compile(r"\b\d+(?:[.,]\d+)?\s?(?:ml|l|litres?|cc)\b")


def tightened(job: Job, step: Mapping[str, Any]) -> Iterator[tuple[str, Mapping[str, Any], float | None]]:
    """(joint, its object, N·m that the tool must read) of each joint that a step tightens; None without a figure."""
    for action in step["do"]:
        joint = job.pack["joints"].get(action["object"]) if action["verb"] == "tighten" else None
        if joint is not None:
            number = min(action.get("stage", len(joint["stages"])), len(joint["stages"]))
            yield action["object"], joint, _target(job, step, joint, joint["stages"][number - 1])


def _target(job: Job, step: Mapping[str, Any], joint: Mapping[str, Any], stage: Mapping[str, Any]) -> float | None:
    if "angle_deg" in stage:
        return None
    figure = job.pack["figures"].get(step["figure"] or stage.get("figure") or joint["figure"] or "")
    if figure is None or figure["kind"] != "torque":
        return None
    value = figure["value"] if figure["value"] is not None else figure["high"]
    return None if value is None else value * stage.get("share", 100) / 100


def check_tools(job: Job) -> list[Finding]:
    """S2: a joint is turned, or something measured, and no tool is named; a figure is to be reached and no torque wrench
    is named. D13: the one named does not read the figure (of a stage, its share of the figure)."""
    found = job.gather()
    for step in (step for step in job.pack["steps"] if not job.is_unread(step["id"], "tools")):
        where = job.where(step["id"], "tools", "do")
        for action in step["do"]:
            joint = job.pack["joints"].get(action["object"]) if action["verb"] in TURNING else None
            if joint is not None and not joint["tools"] and not step["tools"]:
                found.add("S2", ERROR, "tool_missing", where, object=job.machine.name(action["object"]))
            if action["verb"] == "measure":
                _check_instrument(job, found, step, action["object"])
        for key, turned, target_nm in tightened(job, step):
            if target_nm is not None:
                _check_wrench(job, found, step, [*step["tools"], *turned["tools"]], key, target_nm)
    return found.findings()


def _check_instrument(job: Job, found: Gathered, step: Mapping[str, Any], check: str) -> None:
    """A measurement names an instrument, and one of those that the map names for it."""
    where = job.where(step["id"], "tools", "do")
    entry: Mapping[str, Any] = job.pack["checks"].get(check) or {}
    known = entry.get("tools") or []
    if not step["tools"]:
        found.add("S2", ERROR, "measuring_tool_missing", where, object=job.machine.name(check))
    elif known and not set(known) & set(step["tools"]):
        names = [", ".join(job.machine.name(key) for key in keys) for keys in (step["tools"], known)]
        found.add("S2", ERROR, "instrument_of_other_check", where, object=job.machine.name(check), tools=names[0],
                  known=names[1])


def _check_wrench(job: Job, found: Gathered, step: Mapping[str, Any], keys: list[str], joint: str,
                  target_nm: float) -> None:
    where = job.where(step["id"], "tools", "do")
    tools = [job.pack["tools"][key] for key in keys if key in job.pack["tools"]]
    wrenches = [tool for tool in tools if tool["kind"] == TORQUE_WRENCH]
    shown = f"{target_nm:g} N·m"
    if not wrenches:
        found.add("S2", ERROR, "torque_wrench_missing", where, object=job.machine.name(joint), target=shown)
    elif not any((tool["low_nm"] or 0) <= target_nm <= (tool["high_nm"] or 1e9) for tool in wrenches):
        names = ", ".join(tool["name"] for tool in wrenches)
        found.add("D13", ERROR, "torque_wrench_range", where, object=job.machine.name(joint), target=shown, tools=names)


def check_lists(job: Job) -> list[Finding]:
    """S3: an empty list that does not say none; what the steps imply already; what is declared and never used."""
    found = job.gather()
    implied = {"tools": _implied_tools(job), "supplies": _implied_supplies(job)}
    for kind in ("tools", "supplies"):
        where = job.text.notes.where(f"prepare.{kind}", "procedure.prepare")
        for key in job.text.head["prepare"][kind]:
            if key in implied[kind]:
                found.add("S3", NOTE, "listed_already", where, object=job.machine.name(key))
    if job.text.model is None:
        for table in TABLES:
            for key in job.machine.tables[table]:
                if key not in job.pack[table]:  # type: ignore[literal-required]
                    found.add("S3", NOTE, "declared_unused", job.machine.where(table, key), id=key)
    return found.findings()


def _implied_tools(job: Job) -> set[str]:
    joints = [job.pack["joints"].get(action["object"]) for step in job.pack["steps"] for action in step["do"]
              if action["verb"] in (*TURNING, "start")]
    return {tool for joint in joints if joint for tool in joint["tools"]}.union(
        *(step["tools"] for step in job.pack["steps"]))


def _implied_supplies(job: Job) -> set[str]:
    return {action["object"] for step in job.pack["steps"] for action in step["do"] if action["verb"] == "apply"}


def check_amounts(job: Job) -> list[Finding]:
    """S4: what is filled in a variant differs from the map's amount, or no amount is known anywhere; what the words of
    a step say differs from what it does."""
    found = job.gather()
    for n, pack in enumerate(job.packs):
        fills: dict[str, list[tuple[Mapping[str, Any], Mapping[str, Any]]]] = {}
        for step in pack["steps"]:
            for action in step["do"]:
                if action["verb"] == "fill":
                    fills.setdefault(action["object"], []).append((step, action))
        for key, fluid in pack["fluids"].items():
            if key in fills:
                _check_filled(job, found, n, fills[key], key, fluid)
    for step in job.pack["steps"]:
        _check_words(job, found, step)
    return found.findings()


def _check_filled(job: Job, found: Gathered, n: int, fills: list[tuple[Mapping[str, Any], Mapping[str, Any]]], key: str,
                  fluid: Mapping[str, Any]) -> None:
    known = [fluid[name] for name in ("refill_ml", "capacity_ml") if fluid[name] is not None]
    amounts = [action["amount_ml"] for _, action in fills if "amount_ml" in action]
    if not known and job.text.model is None:
        return
    where = job.where(fills[-1][0]["id"], "do")
    if not known and len(amounts) < len(fills):
        found.add("S4", ERROR, "amount_unknown", where, n, object=job.machine.name(key))
    elif known and len(amounts) == len(fills) and not any(abs(sum(amounts) - ml) <= NEAR * ml for ml in known):
        found.add("S4", ERROR, "amount_differs", where, n, object=job.machine.name(key), amount=f"{sum(amounts):g} ml",
                  known=" or ".join(f"{ml:g} ml" for ml in known))


def _check_words(job: Job, found: Gathered, step: Mapping[str, Any]) -> None:
    """Amounts, torques and numbers of fasteners in `say` against the actions."""
    where = job.where(step["id"], "say")
    _check_times(job, found, step)
    amounts = [action["amount_ml"] for action in step["do"] if "amount_ml" in action] or _known_amounts(job, step)
    said = list(_said(_VOLUME, step["say"], "volume"))
    if amounts and said and not any(abs(value - ml) <= NEAR * ml for _, value in said for ml in amounts):
        found.add("S4", ERROR, "words_other_amount", where, said=said[0][0], done=f"{amounts[0]:g} ml")
    joints = [(action["object"], job.pack["joints"][action["object"]]) for action in step["do"]
              if action["object"] in job.pack["joints"]]
    if len({key for key, _ in joints}) == 1:
        key, joint = joints[0]
        count = _said_count(step["say"], joint["name"])
        if count is not None and count != len(joint["positions"]):
            found.add("S4", ERROR, "words_other_count", where, object=job.machine.name(key), said=count,
                      count=len(joint["positions"]))


def _known_amounts(job: Job, step: Mapping[str, Any]) -> list[float]:
    """What the map says of a fluid that is filled in without an amount."""
    fluids = [job.pack["fluids"].get(action["object"]) for action in step["do"] if action["verb"] == "fill"]
    known = [amount for fluid in fluids if fluid for amount in (fluid["refill_ml"], fluid["capacity_ml"])]
    return [amount for amount in known if amount]


def _check_times(job: Job, found: Gathered, step: Mapping[str, Any]) -> None:
    """The time in the words of a step that waits, or runs something for a time that the map gives."""
    needed = [action["minutes"] for action in step["do"] if action["verb"] == "wait"]
    for action in step["do"] if not needed else ():
        check: Mapping[str, Any] = job.pack["checks"].get(action["object"]) or {"figure": None}
        figure: Mapping[str, Any] | None = job.pack["figures"].get(check["figure"] or "")
        if action["verb"] == "run" and figure is not None and figure["kind"] == "time":
            needed += [figure[name] for name in ("value", "low", "high") if figure[name] is not None]
    said = [(match[0], _minutes(match)) for match in _TIME.finditer(step["say"])]
    if needed and said and not any(abs(minutes - need) <= NEAR * need for _, minutes in said for need in needed):
        found.add("S4", ERROR, "words_other_time", job.where(step["id"], "say"), said=said[0][0],
                  done=f"{needed[0]:g} minutes")


def _minutes(match: re.Match[str]) -> float:
    number = NUMBER_WORDS.get(match[1].lower()) or (1 if match[1].lower() == "one" else float(match[1].replace(",", ".")))
    return number * {"s": 1 / 60, "m": 1, "h": 60}[match[2][0].lower()]


def _said(pattern: re.Pattern[str], text: str, kind: str) -> Iterator[tuple[str, float]]:
    """(as written, canonical value) of every quantity in words; one beyond all reason is infinite."""
    for match in pattern.finditer(text):
        try:
            quantity = parse_quantity(match[0], kind)
        except Refused as refusal:
            if refusal.code == "quantity_out_of_range":
                yield match[0], math.inf
            continue
        if quantity.value is not None:
            yield match[0], quantity.value


@lru_cache(MOST_KEPT)
def _said_count(say: str, name: str) -> int | None:
    """The number that stands before the joint's fasteners: “the five pump cover screws”, “both bolts”."""
    noun = next((word for word in reversed(re.findall(r"[a-z]+", name.lower())) if word in FASTENERS), None)
    if noun is None:
        return None
    stem = noun.removesuffix("s")
    numbers = "|".join([*NUMBER_WORDS, r"\d{1,2}"])
    match = re.search(rf"\b({numbers})\s(?:[a-zA-Z][\w-]*\s){{0,4}}?{stem}s?\b", say, re.IGNORECASE)
    if match is None:
        return None
    word = match[1].lower()
    return NUMBER_WORDS[word] if word in NUMBER_WORDS else int(word)


def check_figures(job: Job) -> list[Finding]:
    """D14: a step's figure, or one in its words, is more than 5 % off that of the joint it tightens."""
    found = job.gather()
    for step, written in zip(job.pack["steps"], job.text.steps, strict=True):
        for key, joint, target_nm in tightened(job, {**step, "figure": None}):
            severity = ERROR if joint["safety"] == "normal" else BLOCK
            if target_nm is None:
                continue
            own = job.pack["figures"].get(written["figure"] or "")
            if own is not None and _differs(own["value"], target_nm, written["figure"], joint["figure"]):
                found.add("D14", severity, "figure_of_other_joint", job.where(step["id"], "figure"),
                          object=job.machine.name(key), figure=written["figure"], own=own["as_published"],
                          known=f"{target_nm:g} N·m")
            for said, said_nm in _said(_TORQUE, step["say"], "torque"):
                if abs(said_nm - target_nm) > NEAR * target_nm:
                    found.add("D14", severity, "words_other_figure", job.where(step["id"], "say"),
                              object=job.machine.name(key), said=said,
                              known=f"{target_nm:g} N·m")
    return found.findings()


def _differs(value: float | None, target_nm: float, figure: str, known: str | None) -> bool:
    return figure != known and (value is None or abs(value - target_nm) > NEAR * target_nm)
