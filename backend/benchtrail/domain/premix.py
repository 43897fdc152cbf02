"""Two-stroke premix: oil for the fuel in the can, correcting a wrong mix, topping up a part-used can.

Knows ratios of fuel to oil by volume (32 means 32 parts fuel to one of oil); a higher number is leaner in oil.
"""

from benchtrail.domain.answer import ARITHMETIC, Answer, Note
from benchtrail.domain.bounds import bounded, positive
from benchtrail.domain.refused import Refused
from benchtrail.domain.rounding import with_unit

MOST_ML = 200_000
_UNTIL = (Note("amount_in_can_not_known"), Note("ratio_from_maker"))
_HIGHER_IS_LEANER = Note("higher_ratio_is_leaner")


def _ratio(value: float, what: str) -> float:
    return bounded(value, what, ":1", 10, 200)


def premix_oil(*, fuel_ml: float, ratio: float, oil_injection: bool = False) -> Answer:
    """Oil for the fuel that is in the can.

    Formula: oil = fuel / R; share of oil in the mix = 1/(R + 1). `fuel_ml` above 0 to 200 000; `ratio` R 10 to 200;
    `oil_injection` true when the engine has its own oil pump. Returns `oil_ml`, `mix_ml`, `oil_share_percent`. Raises
    `engine_has_oil_pump`, as `bounded`.
    Source: arithmetic. Stops being true when the can already holds mix, or the maker gives another ratio for running
    in.
    """
    fuel = positive(fuel_ml, "fuel in the can", "ml", MOST_ML)
    parts = _ratio(ratio, "ratio of fuel to oil")
    if oil_injection:
        raise Refused("engine_has_oil_pump")
    values = {"oil_ml": fuel / parts, "mix_ml": fuel + fuel / parts, "oil_share_percent": 100 / (parts + 1)}
    working = Note("premix_oil", {**values, "fuel_ml": fuel, "ratio": parts})
    return Answer(values, working, (ARITHMETIC,), _UNTIL, (_HIGHER_IS_LEANER,))


def premix_correct(*, mix_ml: float, ratio_now: float, ratio_wanted: float, can_ml: float | None = None) -> Answer:
    """What to add to a wrong mix: oil when it is too lean in oil, fuel when it is too rich.

    Formula: fuel = M·R/(R + 1), oil = M/(R + 1); add oil = fuel/R' − oil, or fuel = oil·R' − fuel. `mix_ml` M above 0
    to 200 000; ratios 10 to 200; `can_ml` what the can holds, if it matters. Returns `add_oil_ml`, `add_fuel_ml`,
    `mix_ml`. Raises `can_too_small`, as `bounded`.
    Source: arithmetic. Stops being true when the old ratio is a guess: then drain it and mix anew.
    """
    mix = positive(mix_ml, "mix in the can", "ml", MOST_ML)
    now, wanted = _ratio(ratio_now, "ratio now"), _ratio(ratio_wanted, "ratio wanted")
    fuel, oil = mix * now / (now + 1), mix / (now + 1)
    add_oil, add_fuel = max(fuel / wanted - oil, 0.0), max(oil * wanted - fuel, 0.0)
    total = mix + add_oil + add_fuel
    if can_ml is not None and total > positive(can_ml, "can", "ml", MOST_ML):
        raise Refused("can_too_small", total=with_unit(total, "ml"), can=with_unit(can_ml, "ml"))
    values = {"add_oil_ml": add_oil, "add_fuel_ml": add_fuel, "mix_ml": total}
    working = Note("premix_correct", {**values, "fuel_ml": fuel, "oil_ml": oil, "ratio_wanted": wanted})
    return Answer(values, working, (ARITHMETIC,), _UNTIL, (_HIGHER_IS_LEANER,))


def premix_top_up(*, mix_ml: float, ratio_now: float, add_fuel_ml: float, ratio_wanted: float) -> Answer:
    """Oil to add together with fresh fuel to a part-used can.

    Formula: oil = (fuel in the mix + fresh fuel)/R' − oil in the mix. `mix_ml` from 0, `add_fuel_ml` above 0, both to
    200 000; ratios 10 to 200. Returns `add_oil_ml`, `mix_ml`. Raises `mix_stays_too_rich`, as `bounded`.
    Source: arithmetic. Stops being true when what is left in the can is a guess.
    """
    mix = bounded(mix_ml, "mix in the can", "ml", 0, MOST_ML)
    fresh = positive(add_fuel_ml, "fresh fuel", "ml", MOST_ML)
    now, wanted = _ratio(ratio_now, "ratio now"), _ratio(ratio_wanted, "ratio wanted")
    fuel, oil = mix * now / (now + 1) + fresh, mix / (now + 1)
    add_oil = fuel / wanted - oil
    if add_oil < 0:
        raise Refused("mix_stays_too_rich", fuel=with_unit(oil * wanted - fuel, "ml"))
    values = {"add_oil_ml": add_oil, "mix_ml": mix + fresh + add_oil}
    working = Note("premix_top_up", {**values, "fuel_ml": fuel, "oil_ml": oil, "ratio_wanted": wanted})
    return Answer(values, working, (ARITHMETIC,), _UNTIL, (_HIGHER_IS_LEANER,))
