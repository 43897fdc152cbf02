"""Valve shims: which one brings a clearance into its limits, and the best swap among several valves.

Knows thicknesses in mm; a thicker shim makes the clearance smaller by as much.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from benchtrail.domain.answer import ARITHMETIC, Answer, Note, Value
from benchtrail.domain.bounds import bounded, positive, record_field, several
from benchtrail.domain.refused import Refused
from benchtrail.domain.rounding import round_half_away, snapped, with_unit

_UNTIL = (Note("engine_not_cold"), Note("cam_not_off_the_valve"), Note("turn_and_measure_again"))
_MOST_VALVES = 12
_BUY, _MOVE, _NEVER = 1_000_000_000, 1_000_000, 10**12


@dataclass(frozen=True)
class _Valve:
    name: str
    clearance: float
    shim: float
    low: float
    high: float

    def clearance_with(self, shim: float) -> float:
        return snapped(self.clearance + self.shim - shim, 12)

    def fits(self, shim: float) -> bool:
        return self.low <= self.clearance_with(shim) <= self.high

    @property
    def ideal(self) -> float:
        return self.clearance + self.shim - (self.low + self.high) / 2

    def on_sale(self, step: float) -> float | None:
        """The shim on sale nearest the ideal one; None when it does not fit."""
        shim = round_half_away(self.ideal, step)
        return shim if shim > 0 and self.fits(shim) else None

    def off_middle_um(self, shim: float) -> int:
        return int(round_half_away(abs(self.clearance_with(shim) - (self.low + self.high) / 2) * 1000, 1))


def shim_to_fit(*, clearance_mm: float, shim_mm: float, low_mm: float, high_mm: float,
                have_mm: Sequence[float] = (), step_mm: float = 0.05) -> Answer:
    """The shim for one valve: the ideal one, the nearest of those at hand, the nearest on sale.

    Formula: new clearance = clearance + old shim − new shim; ideal = clearance + shim − middle of the limits.
    `clearance_mm` from 0 to 3, measured cold; `shim_mm` above 0 to 10, as fitted (measured, not as marked); limits from
    the maker, 0 to 3; `have_mm` up to 60 shims; `step_mm` of shims on sale 0.005 to 0.5. Returns `within` (true when
    nothing need change), `ideal_mm`, `buy_mm`, `buy_gives_mm` (none when none on sale fits), `use_mm` and `use_gives_mm`
    (none when no shim at hand fits). Raises `shim_none_fits` when something must change and neither fits,
    `limits_swapped`, as `bounded`.
    Source: arithmetic. Stops being true on a warm engine, or when the cam touches the valve.
    """
    valve = _valve({"clearance_mm": clearance_mm, "shim_mm": shim_mm, "low_mm": low_mm, "high_mm": high_mm})
    step = bounded(step_mm, "step of shims on sale", "mm", 0.005, 0.5)
    at_hand = [positive(shim, "shim at hand", "mm", 10) for shim in several(have_mm, "shims at hand", 0, 60)]
    buy, within = valve.on_sale(step), valve.fits(valve.shim)
    fitting = [shim for shim in at_hand if valve.fits(shim)]
    use = min(fitting, key=lambda shim: (valve.off_middle_um(shim), shim)) if fitting else None
    if buy is None and use is None and not within:
        raise _none_fits(valve, step)
    values: dict[str, Value] = {
        "within": within, "ideal_mm": valve.ideal, "buy_mm": buy,
        "buy_gives_mm": None if buy is None else valve.clearance_with(buy), "use_mm": use,
        "use_gives_mm": None if use is None else valve.clearance_with(use)}
    working = Note("shim_to_fit", {**values, "clearance_mm": valve.clearance, "shim_mm": valve.shim,
                                   "middle_mm": (valve.low + valve.high) / 2})
    notes = (Note("clearance_within"),) if within else ()
    return Answer(values, working, (ARITHMETIC,), _UNTIL, notes)


def _valve(record: object) -> _Valve:
    """A valve with its numbers checked."""
    def number(name: str, what: str) -> float:
        return bounded(record_field(record, name, "valve"), what, "mm", 0, 3)
    low, high = number("low_mm", "lower limit"), number("high_mm", "upper limit")
    if low > high:
        raise Refused("limits_swapped", low=with_unit(low, "mm"), high=with_unit(high, "mm"))
    shim = positive(record_field(record, "shim_mm", "valve"), "fitted shim", "mm", 10)
    return _Valve(str(record_field(record, "name", "valve")), number("clearance_mm", "clearance"), shim, low, high)


def shim_swap(*, valves: Sequence[dict[str, object]], spare_mm: Sequence[float] = (), step_mm: float = 0.05) -> Answer:
    """The best way to share out the shims of several valves and the spares.

    Rule: of all ways to give every valve a shim within its limits, the one that buys fewest, then moves fewest, then
    lies nearest the middles (exact, by assignment). `valves` 1 to 12 of `name`, `clearance_mm`, `shim_mm`, `low_mm`,
    `high_mm`; `spare_mm` up to 40; `step_mm` of shims on sale. Returns `rows` in the valves' order: `name`, `from`
    (keep, a valve's name, spare, buy), `shim_mm`, `gives_mm`; `buy_count`, `move_count`. Raises as `shim_to_fit`.
    Source: our own construction on arithmetic. Limits as `shim_to_fit`.
    """
    engine = [_valve(valve) for valve in several(valves, "valves", 1, _MOST_VALVES)]
    spares = [positive(shim, "spare shim", "mm", 10) for shim in several(spare_mm, "spare shims", 0, 40)]
    step = bounded(step_mm, "step of shims on sale", "mm", 0.005, 0.5)
    shims = [(valve.name, valve.shim) for valve in engine] + [("spare", shim) for shim in spares]
    bought = [valve.on_sale(step) for valve in engine]
    costs = [[_cost(valve, shim, n == m) for m, (_, shim) in enumerate(shims)]
             + [_buy_cost(valve, bought[n]) if n == m else _NEVER for m in range(len(engine))]
             for n, valve in enumerate(engine)]
    places = _assign(costs)
    for n, valve in enumerate(engine):
        if costs[n][places[n]] >= _NEVER:
            raise _none_fits(valve, step)
    rows = [_row(valve, n, places[n], shims, bought[n]) for n, valve in enumerate(engine)]
    buys, keeps = (sum(row["from"] == word for row in rows) for word in ("buy", "keep"))
    values: dict[str, Value] = {"rows": [dict(row) for row in rows], "buy_count": buys, "move_count": len(rows) - keeps}
    return Answer(values, Note("shim_swap", values), (ARITHMETIC,), _UNTIL)


def _none_fits(valve: _Valve, step: float) -> Refused:
    return Refused("shim_none_fits", ideal=with_unit(valve.ideal, "mm"), step=with_unit(step, "mm"))


def _buy_cost(valve: _Valve, shim: float | None) -> int:
    return _NEVER if shim is None else _BUY + _MOVE + valve.off_middle_um(shim)


def _cost(valve: _Valve, shim: float, own: bool) -> int:
    return (0 if own else _MOVE) + valve.off_middle_um(shim) if valve.fits(shim) else _NEVER


def _row(valve: _Valve, n: int, place: int, shims: list[tuple[str, float]], bought: float | None) -> dict[str, Value]:
    name, shim = shims[place] if place < len(shims) else ("buy", bought or 0.0)
    origin = "keep" if place == n else name
    return {"name": valve.name, "from": origin, "shim_mm": shim, "gives_mm": valve.clearance_with(shim)}


def _assign(costs: list[list[int]]) -> list[int]:
    """For each row its column, so that the sum is least (shortest augmenting paths with potentials)."""
    rows, columns = len(costs), len(costs[0])
    row_price, column_price, owner = [0] * (rows + 1), [0] * (columns + 1), [0] * (columns + 1)
    for row in range(1, rows + 1):
        owner[0], column = row, 0
        least, before, used = [10**15] * (columns + 1), [0] * (columns + 1), [False] * (columns + 1)
        while owner[column]:
            used[column], current, step, following = True, owner[column], 10**15, 0
            for other in range(1, columns + 1):
                if used[other]:
                    continue
                reduced = costs[current - 1][other - 1] - row_price[current] - column_price[other]
                if reduced < least[other]:
                    least[other], before[other] = reduced, column
                if least[other] < step:
                    step, following = least[other], other
            for other in range(columns + 1):
                if used[other]:
                    row_price[owner[other]] += step
                    column_price[other] -= step
                else:
                    least[other] -= step
            column = following
        while column:
            owner[column], column = owner[before[column]], before[column]
    return [owner.index(row, 1) - 1 for row in range(1, rows + 1)]
