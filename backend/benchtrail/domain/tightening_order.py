"""In which order to tighten any set of holes, in which stages, and the closing pass.

Knows positions on a face; knows nothing of what the fasteners bear. A published order always wins over a generated one.
"""

import math
from collections.abc import Sequence

from benchtrail.domain.answer import Answer, Note, Source, Value
from benchtrail.domain.bounds import bounded, positive, several, whole
from benchtrail.domain.refused import Refused
from benchtrail.domain.rounding import with_unit
from benchtrail.domain.torque import MOST_NM, STAGE_SOURCES, torque_stages

MOST_HOLES = 64
_SHAPE_SOURCES = {
    "single": Source("arithmetic"),
    "ring": Source("memory", "ASME PCC-1 legacy cross for 4, 8, 12, 16; other counts our own construction"),
    "row": Source("published", "TM 5-3805-298-23-2, WP 0176; TB 9-3950-253-13&P, WP 0061: centre outwards"),
    "field": Source("practice", "centre outwards, alternating sides"),
    "listed": Source("published", "the order that the source of this joint prints"),
}
_RING_LEAST_SHARE = 0.55
_ROW_MOST_SHARE = 0.05
_SAME_DISTANCE = 1.15

Hole = tuple[float, float]


def tightening_order(*, positions: Sequence[Sequence[float]], listed: Sequence[int] | None = None) -> Answer:
    """The order in which to tighten holes, as numbers of the positions from 1.

    Rule: on a ring (all holes at 0.55 to 1 of the largest distance from their middle) crosswise in opposite pairs; in a
    row from the centre outwards, alternating; else from the centre outwards, each time far from the last. `positions` 1
    to 64 pairs in mm, −5000 to 5000; `listed` a published order. Returns `order`, `shape` (single, ring, row, field,
    listed), `around` (the closing pass). Raises `holes_coincide`, `order_not_permutation`, as `several`, `bounded`.
    Source: by shape, see `_SHAPE_SOURCES`. Stops being true where the maker prints an order or an angle.
    """
    holes = _holes(positions)
    shape, generated, around = _generated(holes)
    if listed is not None:
        shape, generated = "listed", _checked_order(listed, len(holes))
    order: list[Value] = [n + 1 for n in generated]
    closing: list[Value] = [n + 1 for n in around]
    values: dict[str, Value] = {"order": order, "shape": shape, "around": closing}
    return Answer(values, Note("tightening_order", values), (_SHAPE_SOURCES[shape],), (Note("maker_prints_order"),))


def tightening_plan(*, positions: Sequence[Sequence[float]], target_nm: float, shares: Sequence[float] | None = None,
                    wrench_low_nm: float = 0.0, listed: Sequence[int] | None = None) -> Answer:
    """Every pass over the holes: stages crosswise, then once around at full torque until none moves.

    `shares` in % rising to 100, default 50, 100 for two holes; 30, 60, 100; from 12 holes 20, 40, 80, 100. Other
    arguments as `tightening_order` and `torque_stages`. Returns `order`, `shape`, `passes` (list of `kind` stage or
    closing, `share`, `torque_nm`, `order`), `merged`. Raises as these.
    Source: Fluid Sealing Association, June 2012, and pipe-flange practice. Stops being true for angle stages and for
    rubber gaskets that have been hot, which are not retightened unless the maker says so.
    """
    target = positive(target_nm, "torque", "N·m", MOST_NM)
    ordered = tightening_order(positions=positions, listed=listed)
    count = len(positions)
    chosen = shares if shares is not None else _usual_shares(count)
    staged = torque_stages(target_nm=target, shares=chosen, wrench_low_nm=wrench_low_nm)
    order, around = ordered.values["order"], ordered.values["around"]
    stages = staged.values["stages"]
    passes: list[Value] = [{"kind": "stage", **stage, "order": order} for stage in stages if isinstance(stage, dict)] \
        if isinstance(stages, list) else []
    if count > 1:
        passes.append({"kind": "closing", "share": 100, "torque_nm": target, "order": around})
    values: dict[str, Value] = {"order": order, "shape": ordered.values["shape"], "passes": passes,
                                "merged": staged.values["merged"]}
    working = Note("tightening_plan", {"order": order, "torques_nm": staged.working.values["torques_nm"]})
    until = (*ordered.until, *staged.until, Note("hot_rubber_gasket"))
    return Answer(values, working, (*ordered.sources, *STAGE_SOURCES), until, staged.notes)


def _usual_shares(count: int) -> tuple[float, ...]:
    if count >= 12:
        return (20, 40, 80, 100)
    return (30, 60, 100) if count > 2 else (50, 100) if count == 2 else (100,)


def _holes(positions: Sequence[Sequence[float]]) -> list[Hole]:
    """Positions with their numbers checked, no two closer than 1 mm."""
    holes: list[Hole] = []
    for place in several(positions, "holes", 1, MOST_HOLES):
        x, y = several(place, "coordinates of a hole", 2, 2)
        hole = bounded(x, "place of a hole", "mm", -5000, 5000), bounded(y, "place of a hole", "mm", -5000, 5000)
        near = next((n for n, other in enumerate(holes) if math.dist(hole, other) < 1), None)
        if near is not None:
            raise Refused("holes_coincide", first=with_unit(near + 1, ""), second=with_unit(len(holes) + 1, ""))
        holes.append(hole)
    return holes


def _checked_order(listed: Sequence[int], count: int) -> list[int]:
    places = several(listed, "places in the order", 1, MOST_HOLES)
    order = [whole(n, "place in the order", 1, count) - 1 for n in places]
    if sorted(order) != list(range(count)):
        raise Refused("order_not_permutation", count=with_unit(count, ""))
    return order


def _generated(holes: list[Hole]) -> tuple[str, list[int], list[int]]:
    """Shape, order and closing pass, as indices from 0."""
    if len(holes) == 1:
        return "single", [0], [0]
    row = _along_row(holes)
    if row is not None:
        order = [row[n] for n in _centre_outwards(len(row))]
        return "row", order, order
    middle = sum(x for x, _ in holes) / len(holes), sum(y for _, y in holes) / len(holes)
    distances = [math.dist(hole, middle) for hole in holes]
    if min(distances) >= _RING_LEAST_SHARE * max(distances):
        ring = _around(holes, middle)
        return "ring", [ring[n] for n in cross_sequence(len(ring))], ring
    order = _from_centre(holes, distances)
    return "field", order, order


def cross_sequence(count: int) -> list[int]:
    """Indices of a ring of `count` holes, crosswise: opposite pairs, for multiples of four in crosses of four."""
    if count % 4 == 0:
        quarter = count // 4
        starts = range(quarter) if quarter <= 3 else [*range(0, quarter, 2), *range(1, quarter, 2)]
        return [start + offset for start in starts for offset in (0, 2 * quarter, quarter, 3 * quarter)]
    if count % 2 == 0:
        half = count // 2
        prime = [t for t in range(1, half + 1) if math.gcd(t, half) == 1]
        step = 2 * min(prime, key=lambda t: (abs(6 * t - count), -t))
        return [(k * step + offset) % count for k in range(half) for offset in (0, half)]
    step = max(count // 2, 1)
    return [k * step % count for k in range(count)]


def _centre_outwards(count: int) -> list[int]:
    """Indices of a row: the centre, then one to the right, one to the left, and so on."""
    centre = (count - 1) // 2
    offsets = [0, *(sign * n for n in range(1, count) for sign in (1, -1))]
    return [centre + offset for offset in offsets if 0 <= centre + offset < count]


def _along_row(holes: list[Hole]) -> list[int] | None:
    """Indices along the line on which all holes lie within 5 % of its length; None when they do not."""
    pairs = [(math.dist(a, b), -n, -m) for n, a in enumerate(holes) for m, b in enumerate(holes) if n < m]
    _, first, last = max((round(d, 6), n, m) for d, n, m in pairs)
    (x, y), (u, v) = holes[-first], holes[-last]
    length = math.hypot(u - x, v - y)
    off = [abs((u - x) * (b - y) - (v - y) * (a - x)) / length for a, b in holes]
    if max(off) > _ROW_MOST_SHARE * length:
        return None
    along = [round(((a - x) * (u - x) + (b - y) * (v - y)) / length, 6) for a, b in holes]
    return sorted(range(len(holes)), key=lambda n: (along[n], n))


def _around(holes: list[Hole], middle: Hole) -> list[int]:
    """Indices around the middle, from the first hole towards whichever of its neighbours has the lower number."""
    angles = [round(math.atan2(y - middle[1], x - middle[0]), 9) for x, y in holes]
    turn = sorted(range(len(holes)), key=lambda n: (angles[n], n))
    start = turn.index(0)
    ring = turn[start:] + turn[:start]
    return ring if len(ring) < 3 or ring[1] < ring[-1] else [ring[0], *reversed(ring[1:])]


def _from_centre(holes: list[Hole], distances: list[float]) -> list[int]:
    """Indices from the hole nearest the middle outwards: of those about equally near, the farthest from the last."""
    left = set(range(len(holes)))
    order: list[int] = []
    while left:
        nearest = min(distances[n] for n in left)
        near = [n for n in sorted(left) if distances[n] <= nearest * _SAME_DISTANCE + 1e-6]
        last = holes[order[-1]] if order else None
        chosen = max(near, key=lambda n: (round(math.dist(holes[n], last), 6) if last else -distances[n], -n))
        order.append(chosen)
        left.remove(chosen)
    return order
