"""A procedure as schema.org's HowTo, for search engines and other sites. Knows the vocabulary; no HTML.

Source: schema.org, types HowTo, HowToSection, HowToStep, HowToDirection, HowToTip, HowToSupply, HowToTool.
"""

from benchtrail.domain.bench_state import Pack
from benchtrail.domain.job_lists import derived_lists
from benchtrail.services.records import JsonObject


def how_to(pack: Pack, address: str, dealer: str) -> JsonObject:
    """The linked data of a published procedure, all variants; `address`: where it is read. Times only where every step has one."""
    lists = derived_lists(pack)
    minutes = [step["minutes"] for step in pack["steps"]]
    made: JsonObject = {
        "@context": "https://schema.org", "@type": "HowTo", "name": pack["title"], "description": pack["summary"], "url": address,
        "inLanguage": "en", "version": str(pack["revision"]), "datePublished": pack["issued"],
        "author": {"@type": "Organization", "name": dealer},
        "supply": [{"@type": "HowToSupply", "name": row["name"]} for row in
                   (*lists["single_use"], *lists["parts"], *lists["supplies"], *lists["fluids"])],
        "tool": [{"@type": "HowToTool", "name": " or ".join(str(pack["tools"].get(id, {}).get("name", id)) for id in row["any"])}
                 for row in lists["tools"]],
        "step": [],
    }
    if pack["model"]:
        made["about"] = {"@type": "Product", "name": pack["model"]["name"]}
    if all(minutes):
        made["totalTime"] = f"PT{sum(minutes):.0f}M"
    sections: dict[str, JsonObject] = {}
    for number, step in enumerate(pack["steps"], 1):
        section = sections.get(step["section"])
        if section is None:
            section = {"@type": "HowToSection", "name": step["section"], "position": len(sections) + 1, "itemListElement": []}
            sections[step["section"]] = section
            made["step"].append(section)
        section["itemListElement"].append(_step(pack, step, number, address))
    return made


def _step(pack: Pack, step: JsonObject, number: int, address: str) -> JsonObject:
    told = [{"@type": "HowToTip", "text": caution_words(pack["cautions"][id])} for id in step["cautions"]]
    told.append({"@type": "HowToDirection", "text": " ".join(part for part in (step["say"], step["detail"]) if part)})
    return {"@type": "HowToStep", "position": number, "url": f"{address}#step-{step['id']}", "itemListElement": told}


def caution_words(caution: JsonObject) -> str:
    """The caution in one line, its signal word first."""
    words = " ".join(str(caution[part]) for part in ("hazard", "consequence", "avoidance") if caution.get(part))
    return f"{caution['signal']}: {words}"
