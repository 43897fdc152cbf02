"""Random journals and random actions over the bench fixture, the same for the same seed. Used by tests only."""

import json
import random
from pathlib import Path
from typing import Any

FIXTURE = Path(__file__).resolve().parents[2] / "shared" / "vectors" / "fixtures" / "bench-pack.json"
PACK: dict[str, Any] = json.loads(FIXTURE.read_text(encoding="utf-8"))
STEPS = [step["id"] for step in PACK["steps"]]
START_MS = 1_764_057_600_000
DEVICES = [f"{start}-0000-4000-8000-000000000000" for start in ("3f2a1b4c", "99aa00bb", "0000cafe")]
VERBS = ("undo", "slacken", "start", "tighten", "remove", "hang", "fit", "renew", "inspect", "clean", "apply", "drain",
         "fill", "measure", "adjust", "test", "run", "bleed", "level", "wait", "photograph", "set", "pose", "aid_on",
         "aid_off", "note")
TABLE_OF_VERB = {
    "undo": "joints", "slacken": "joints", "start": "joints", "tighten": "joints", "remove": "parts", "hang": "parts",
    "fit": "parts", "renew": "parts", "inspect": "parts", "clean": "parts", "apply": "supplies", "drain": "fluids",
    "fill": "fluids", "set": "settings", "pose": "poses", "aid_on": "aids", "aid_off": "aids",
}
WORDS = ("", "Läuft.", "Gewinde zäh 😀", "\ufb33", "__proto__", "constructor", "a" * 200, "two\nlines", "0")


def random_variant(chance: random.Random) -> dict[str, Any] | None:
    year = chance.randint(2021, 2026)
    options = [option for option in ("skid_plate", "kick_start") if chance.random() < 0.5]
    return chance.choice([None, *[{"year": year, "options": sorted(options)}] * 9])


def random_action(chance: random.Random) -> dict[str, Any]:
    verb = chance.choice(VERBS)
    table = TABLE_OF_VERB.get(verb, "checks")
    objects = [*PACK[table], "no_such_thing", *(PACK["units"] if table == "parts" else ())]
    objects += PACK["joints"] if verb in ("renew", "clean") else ()
    action: dict[str, Any] = {"verb": verb, "object": chance.choice(objects)}
    if verb == "tighten" and chance.random() < 0.5:
        action["stage"] = chance.randint(1, 4)
    if verb == "apply":
        action["to"] = chance.choice([*PACK["parts"], *PACK["joints"], "no_such_thing"])
    if verb == "set":
        action["value"] = chance.choice(["on", "off", "first", "neutral"])
    return action


def random_walk(chance: random.Random) -> dict[str, Any]:
    return {"variant": random_variant(chance), "actions": [random_action(chance) for _ in range(chance.randint(0, 60))]}


def random_log(chance: random.Random) -> list[Any]:
    """A journal of up to three devices, with repetitions, retractions, unknown and malformed events, out of order."""
    log = _Writer(chance)
    if chance.random() < 0.95:
        log.add("JobStarted", _started(chance))
    for _ in range(chance.randint(0, 50)):
        kind = chance.choice(_KINDS)
        log.add(kind, _body(chance, kind, log.ids))
    events = log.events + [json.loads(json.dumps(event)) for event in log.events if chance.random() < 0.1]
    events += [_spoiled(chance, event) for event in log.events if chance.random() < 0.05]
    if chance.random() < 0.5:
        chance.shuffle(events)
    return events


class _Writer:
    def __init__(self, chance: random.Random) -> None:
        self.chance = chance
        self.events: list[dict[str, Any]] = []
        self.ids: list[str] = []
        self.seq = dict.fromkeys(DEVICES, 0)
        self.ms = START_MS

    def add(self, kind: str, body: Any) -> None:
        chance, device = self.chance, self.chance.choice(DEVICES)
        self.seq[device] += 1
        self.ms += chance.choice([0, 0, 1, 1000, -5000, 3_600_000])
        number = chance.choice([len(self.ids) + 1] * 20 + [max(len(self.ids), 1)])
        event = {
            "id": f"01928b6e-7c00-7000-8000-{number:012x}", "device": device,
            "seq": self.seq[device], "job": "01928b6e-7c00-7000-8000-0000000000aa", "kind": kind, "body": body,
            "hlc": f"{self.ms:015d}-{chance.choice([0, 0, 1, 255]):04x}-{device[:8]}",
            "wall": f"2025-11-25T{chance.randint(0, 23):02d}:{chance.randint(0, 59):02d}:00+01:00",
            "pack": "ab" * 32, "prev": None, "schema": 1,
        }
        self.events.append(event)
        self.ids.append(event["id"])


_KINDS = (["StepDone"] * 14 + ["StepSkipped"] * 2 + ["Retracted"] * 4 + ["ReadingTaken"] * 2 + ["NoteWritten"] * 2
          + ["PrepTicked"] * 3 + ["PositionTicked"] * 3 + ["PhotoTaken", "TimerRun", "JobPaused", "JobResumed"]
          + ["EndItemAccepted", "BulletinAnswered", "JobClosed", "TyreWarmed", "JobStarted"]
          + ["ReplyWritten"] * 2 + ["ReplySeen"] * 2)


def _started(chance: random.Random) -> dict[str, Any]:
    machine = None
    if chance.random() < 0.9:
        options = [chance.choice(["skid_plate", "kick_start"]) for _ in range(chance.randint(0, 3))]
        machine = {"id": "m1", "name": chance.choice(WORDS), "model": "hobmoor-fixture", "options": options,
                   "year": chance.randint(2021, 2026), "hours": chance.choice([None, 0, 41.5]),
                   "serial": chance.choice([None, "HB1"])}
    return {"machine": machine, "procedure": "bench-fixture", "revision": 1, "title": "Bench fixture"}


def _body(chance: random.Random, kind: str, ids: list[str]) -> dict[str, Any]:
    step = chance.choice([*STEPS, "no-such-step", "__proto__"])
    words = chance.choice(WORDS)
    some_step = chance.choice([step, None])
    bodies: dict[str, dict[str, Any]] = {
        "JobStarted": _started(chance), "StepDone": {"step": step}, "StepSkipped": {"step": step, "reason": words},
        "Retracted": {"event": chance.choice([*ids, "01928b6e-7c00-7000-8000-00000000ffff"])},
        "ReadingTaken": {"step": step, "check": "pad_thickness", "value": chance.choice([0, 0.1, 1, -3.5, 1e21, 1e-7]),
                         "unit": "mm", "as_typed": words, "verdict": chance.choice(["within", "outside", "unknown"])},
        "NoteWritten": {"step": some_step, "text": words},
        "PrepTicked": {"item": chance.choice([word for word in WORDS if word]), "ticked": chance.random() < 0.7},
        "PositionTicked": {"step": step, "joint": chance.choice(["cover_screws", "constructor"]),
                           "position": chance.randint(1, 12), "ticked": chance.random() < 0.7},
        "PhotoTaken": {"step": some_step, "sha256": "cd" * 32, "mime": "image/jpeg", "bytes": chance.randint(0, 10**6),
                       "width": 1600, "height": 1200, "caption": words},
        "TimerRun": {"step": step, "seconds": chance.choice([0, 0.1, 0.2, 90.7])},
        "JobPaused": {"step": some_step}, "JobResumed": {"step": some_step},
        "EndItemAccepted": {"code": "aid_left", "object": "drip_tray", "reason": words},
        "BulletinAnswered": {"to": "ef" * 32, "step": some_step, "answer": chance.choice(["seen", "redone", "accepted"]),
                             "changes": chance.choices(["c1", "c2"], k=chance.randint(0, 2)), "reason": words},
        "JobClosed": {"outcome": chance.choice(["finished", "handed_over", "given_up"]), "words": words},
        "ReplyWritten": {"to": chance.choice([*ids, None]), "step": some_step, "text": words or "Yes.", "by": words},
        "ReplySeen": {"reply": chance.choice([*ids, "01928b6e-7c00-7000-8000-00000000ffff"])},
        "TyreWarmed": {"anything": [words, {"x": None}]},
    }
    return bodies[kind]


def _spoiled(chance: random.Random, event: dict[str, Any]) -> Any:
    """The event with one field taken out, or of another type."""
    spoiled = json.loads(json.dumps(event))
    place = chance.choice([spoiled, spoiled["body"]]) if spoiled["body"] else spoiled
    field = chance.choice(list(place))
    if chance.random() < 0.5:
        del place[field]
    else:
        place[field] = chance.choice([None, "", 0, -1, 1.5, True, [], {}, "x", [1]])
    return chance.choice([spoiled, spoiled, spoiled, "nonsense", None, []])


def random_value(chance: random.Random, depth: int = 0) -> Any:
    """A random JSON value whose numbers a double holds."""
    kind = chance.randint(0, 8 if depth < 3 else 5)
    if kind == 0:
        return chance.choice([None, True, False])
    if kind in (1, 2):
        return chance.choice([chance.randint(-10**6, 10**6), chance.randint(-(2**53) + 1, 2**53 - 1)])
    if kind == 3:
        return chance.uniform(-1, 1) * 10.0 ** chance.randint(-310, 300)
    if kind in (4, 5):
        return _text(chance)
    if kind == 6:
        return [random_value(chance, depth + 1) for _ in range(chance.randint(0, 4))]
    return {_key(chance): random_value(chance, depth + 1) for _ in range(chance.randint(0, 4))}


def _key(chance: random.Random) -> str:
    """Never a name that is one escaped character: JSON.parse of V8 13.6 (Node 24) takes such a name for a backslash when it has
    seen an object with that name at the same place. No event of ours has such a name."""
    text = _text(chance)
    return text if len(text) != 1 or text.isalnum() else f"{text}."


def _text(chance: random.Random) -> str:
    return "".join(chance.choices("aZ09 \"\\\b\t\n\f\r\u0000\u001f\u007fäß€\u2028\ufb33😀", k=chance.randint(0, 8)))
