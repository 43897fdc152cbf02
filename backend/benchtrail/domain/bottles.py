"""How much of which bottle: what to buy, what to pour, at which mark to stop.

Knows sizes and amounts; knows nothing of what the fluid is.
"""

import math
from collections.abc import Sequence

from benchtrail.domain.answer import ARITHMETIC, PRACTICE, Answer, Note, Value
from benchtrail.domain.bounds import bounded, positive, several
from benchtrail.domain.refused import Refused
from benchtrail.domain.rounding import with_unit

MOST_ML = 20_000
_UNTIL = (Note("level_mark_rules"), Note("bottle_not_full_or_unmarked"))


def bottle_mark(*, bottle_ml: float, pour_ml: float) -> Answer:
    """The mark at which to stop pouring from a full bottle.

    Formula: stop = bottle − pour. `bottle_ml` above 0 to 20 000, as filled; `pour_ml` from 0 to `bottle_ml`. Returns
    `stop_at_ml`. Raises `pour_exceeds_bottle`, as `positive`, `bounded`.
    Source: arithmetic; common practice, no source. Stops being true for a bottle that was not full.
    """
    bottle = positive(bottle_ml, "bottle", "ml", MOST_ML)
    pour = bounded(pour_ml, "amount to pour", "ml", 0, MOST_ML)
    if pour > bottle:
        raise Refused("pour_exceeds_bottle", pour=with_unit(pour, "ml"), bottle=with_unit(bottle, "ml"))
    values = {"bottle_ml": bottle, "pour_ml": pour, "stop_at_ml": bottle - pour}
    return Answer(values, Note("bottle_mark", values), (PRACTICE,), _UNTIL)


def bottle_plan(*, need_ml: float, sizes_ml: Sequence[float], opened_ml: Sequence[float] = ()) -> Answer:
    """Which bottles to buy for an amount, so that least is left over, and how far to pour each.

    Rule: opened bottles first; then of all sets of new ones the smallest total that is enough, then the fewest
    bottles. `need_ml` above 0 to 20 000; `sizes_ml` one to eight sizes on sale, 10 to 20 000 (counted in whole ml,
    rounded down); `opened_ml` up to ten rests at hand, above 0. Returns `buy` (`size_ml`, `count`), `pours`
    (`opened`, `holds_ml`, `pour_ml`, `stop_at_ml`), `bought_ml`, `left_ml`. Raises as `positive`, `several`.
    Source: arithmetic. Stops being true when the level mark asks for more or less than the capacity.
    """
    need = positive(need_ml, "amount needed", "ml", MOST_ML)
    sizes = sorted({math.floor(bounded(size, "bottle size", "ml", 10, MOST_ML))
                    for size in several(sizes_ml, "bottle sizes", 1, 8)}, reverse=True)
    opened = [positive(rest, "opened bottle", "ml", MOST_ML) for rest in several(opened_ml, "opened bottles", 0, 10)]
    pours, missing = _pour([(True, rest) for rest in opened], need)
    bought = _cheapest_total(sizes, math.ceil(missing)) if missing > 0 else []
    more, _ = _pour([(False, float(size)) for size in bought], missing)
    pours += more
    buy: list[Value] = [{"size_ml": size, "count": bought.count(size)} for size in sizes if size in bought]
    left = sum(opened) + sum(bought) - need
    values: dict[str, Value] = {"buy": buy, "pours": pours, "bought_ml": sum(bought), "left_ml": left}
    sizes_shown: list[Value] = list(bought)
    working = Note("bottle_plan", {"need_ml": need, "opened_ml": sum(opened), "bought": sizes_shown, "left_ml": left})
    notes = () if bought else (Note("nothing_to_buy"),)
    return Answer(values, working, (ARITHMETIC,), _UNTIL, notes)


def _pour(bottles: list[tuple[bool, float]], need: float) -> tuple[list[Value], float]:
    """What to pour from each bottle in turn, and what is still missing."""
    pours: list[Value] = []
    for opened, holds in bottles:
        pour = min(holds, need)
        if pour > 0:
            pours.append({"opened": opened, "holds_ml": holds, "pour_ml": pour, "stop_at_ml": holds - pour})
        need -= pour
    return pours, need


def _cheapest_total(sizes: list[int], need: int) -> list[int]:
    """The bottles, largest first, whose total is the least that reaches `need`, then the fewest of them."""
    unit = math.gcd(*sizes)
    units = [size // unit for size in sizes]
    target = -(-need // unit)
    fewest = [0] + [math.inf] * (target + units[0])
    for total in range(1, len(fewest)):
        fewest[total] = 1 + min((fewest[total - size] for size in units if size <= total), default=math.inf)
    total = next(t for t in range(target, len(fewest)) if fewest[t] < math.inf)
    bottles = []
    while total:
        size = next(size for size in units if size <= total and fewest[total - size] == fewest[total] - 1)
        bottles.append(size * unit)
        total -= size
    return sorted(bottles, reverse=True)
