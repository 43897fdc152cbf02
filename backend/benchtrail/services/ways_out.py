"""Where a procedure can be stopped: before its first step and after each, the ways out in words.

Knows packs and variants; the words come in as a table (`shared/texts/way-out.en.json`), what is safe is the domain's to judge.
"""

from collections.abc import Mapping
from typing import Any

from benchtrail.domain.bench_state import for_variant
from benchtrail.domain.guards import Variant
from benchtrail.domain.making_good import Action
from benchtrail.domain.standing import Row
from benchtrail.domain.way_out import Way, WayOut, way_out

Pack = Mapping[str, Any]
Data = dict[str, Any]
Texts = Mapping[str, Mapping[str, str]]


def ways_out(pack: Pack, variant: Variant | None, texts: Texts) -> Data:
    """`{procedure, title, stops: [{after, number, say, leave, push}]}`: one stop before step 1 and one after each step."""
    machine = for_variant(pack, variant)
    stops, done = [], []
    for number, step in enumerate([None, *machine["steps"]]):
        done += [step["id"]] if step else []
        found = way_out(machine, done)
        stops.append({"after": step and step["id"], "number": number, "say": step and step["say"],
                      **{aim: _told(machine, way, texts) for aim, way in found.items()}})
    return {"procedure": pack["procedure"], "title": pack["title"], "stops": stops}


def _told(machine: Pack, way: WayOut, texts: Texts) -> Data:
    told = {kind: [_words(machine, texts[kind], row) for row in rows] for kind, rows in
            (("against", way["against"]), ("unknown", way["unknown"]), ("see_to", way["see_to"]))}
    found: Data = {"now": way["now"], "shorter": way["shorter"], **told}
    for kind, row in (("on", way["on"]), ("back", way["back"]), ("mixed", way["mixed"])):
        found[kind] = row and _length(machine, texts, row) | {"rows": [_row(machine, texts, each) for each in row["rows"]]}
    return found


def _row(machine: Pack, texts: Texts, row: Action) -> Data:
    """`act`: None for a step of the procedure that comes next."""
    if row["verb"] == "do":
        return {"act": None, "steps": row["steps"], "words": name_in(machine, row["object"])}
    return {"act": row["verb"], "steps": row["steps"], "words": texts["acts"][row["verb"]].format(name=name_in(machine, row["object"]))}


def _length(machine: Pack, texts: Texts, way: Way) -> Data:
    return {"minutes": round(way["minutes"], 1), "untimed": way["untimed"],
            "see_to": [_words(machine, texts["see_to"], row) for row in way["see_to"]]}


def _words(machine: Pack, texts: Mapping[str, str], row: Row) -> str:
    return texts[row["code"]].format(name=name_in(machine, row["object"]))


def name_in(machine: Pack, key: str) -> str:
    """The name of a thing; of a follow-on the names of its checks; of a step what it says."""
    for table in ("parts", "units", "joints", "fluids", "poses", "settings", "aids", "checks"):
        if key in machine[table]:
            return str(machine[table][key]["name"])
    if key in machine["follow_ons"]:
        return ", ".join(name_in(machine, check) for check in machine["follow_ons"][key]["needs"])
    return next((str(step["say"]) for step in machine["steps"] if step["id"] == key), key)
