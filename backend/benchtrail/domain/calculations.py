"""Every bench calculation by name, for the command line, the check vectors and the comparison of the two languages.

Knows names only; each calculation says in its own docstring what it takes, gives and refuses.
"""

from collections.abc import Callable

from benchtrail.domain import (
    bottles,
    brake_fluid,
    coolant,
    plausible,
    preload,
    premix,
    thread_strip,
    threads,
    tightening_order,
    torque,
    wrenches,
)
from benchtrail.domain.answer import Answer

CALCULATIONS: dict[str, Callable[..., Answer]] = {
    "torque_at_wrench": torque.torque_at_wrench,
    "torque_applied": torque.torque_applied,
    "running_torque": torque.running_torque,
    "torque_stages": torque.torque_stages,
    "choose_wrench": wrenches.choose_wrench,
    "stress_area": threads.stress_area,
    "proof_load": threads.proof_load,
    "preload_band": preload.preload_band,
    "check_torque": preload.check_torque,
    "preload_long": preload.preload_long,
    "preload_scatter": preload.preload_scatter,
    "thread_strip": thread_strip.thread_strip,
    "plausible_torque": plausible.plausible_torque,
    "tightening_order": tightening_order.tightening_order,
    "tightening_plan": tightening_order.tightening_plan,
    "bottle_mark": bottles.bottle_mark,
    "bottle_plan": bottles.bottle_plan,
    "coolant_freeze": coolant.coolant_freeze,
    "coolant_for_cold": coolant.coolant_for_cold,
    "coolant_mix": coolant.coolant_mix,
    "drain_and_refill": coolant.drain_and_refill,
    "drain_for_target": coolant.drain_for_target,
    "expansion_room": coolant.expansion_room,
    "premix_oil": premix.premix_oil,
    "premix_correct": premix.premix_correct,
    "premix_top_up": premix.premix_top_up,
    "brake_fluid": brake_fluid.brake_fluid,
}
