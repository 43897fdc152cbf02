"""Which threads a socket size can belong to: it never names one alone.

Knows hexagon sizes of common heads; knows nothing of strength.
"""

from benchtrail.domain.answer import Answer, Note, Source, Value
from benchtrail.domain.bounds import bounded
from benchtrail.domain.refused import Refused
from benchtrail.domain.rounding import with_unit
from benchtrail.domain.threads import PITCHES

# head → diameter of the thread → size across the flats, mm
_HEADS: dict[str, dict[int, tuple[float, ...]]] = {
    "hexagon ISO 4014, 4017": {4: (7,), 5: (8,), 6: (10,), 8: (13,), 10: (16,), 12: (18,), 14: (21,), 16: (24,)},
    "hexagon DIN 931, 933": {4: (7,), 5: (8,), 6: (10,), 8: (13,), 10: (17,), 12: (19,), 14: (22,), 16: (24,)},
    "small hexagon JIS B 1180": {8: (12,), 10: (14,), 12: (17,), 14: (19,), 16: (22,)},
    "small flange JIS B 1189, EN 1662": {5: (7,), 6: (8,), 8: (10,), 10: (13,), 12: (15, 16), 14: (18,), 16: (21,)},
    "flange EN 1665": {5: (8,), 6: (10,), 8: (13,), 10: (16,), 12: (18,), 14: (21,), 16: (24,)},
}
_SOURCES = (Source("library", "bd_warehouse 0.4.0: ISO 4014, EN 1662, EN 1665 sizes"),
            Source("restated", "JIS B 1180, JIS B 1189, DIN 931 and 933 pages"))


def threads_for_socket(*, socket_mm: float) -> Answer:
    """All threads whose usual heads a socket fits, with their pitches.

    Rule: the size across flats looked up in five head standards, M4 to M16. `socket_mm` 5 to 30. Returns `candidates`:
    `diameter_mm`, `heads`, `pitches_mm`. Raises `socket_unknown` when none fits, as `bounded`.
    Source: library and restated tables; they disagree on the small flange of M12 (15 or 16 mm), so both are given. Stops
    being true for nuts, special bolts and rounded heads.
    """
    size = bounded(socket_mm, "socket size", "mm", 5, 30)
    found: dict[int, list[Value]] = {}
    for head, sizes in _HEADS.items():
        for diameter, flats in sizes.items():
            if size in flats:
                found.setdefault(diameter, []).append(head)
    if not found:
        raise Refused("socket_unknown", socket=with_unit(size, "mm"))
    candidates: list[Value] = [{"diameter_mm": diameter, "heads": found[diameter], "pitches_mm": list(PITCHES[diameter])}
                               for diameter in sorted(found)]
    names: list[Value] = [f"M{diameter}" for diameter in sorted(found)]
    working = Note("threads_for_socket", {"socket_mm": size, "threads": names})
    return Answer({"candidates": candidates}, working, _SOURCES, (Note("special_bolt"),), (Note("measure_the_pitch"),))
