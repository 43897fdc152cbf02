"""Random inputs for every bench calculation: mostly sensible, at and past every limit, some spoiled.

Knows what each calculation takes; knows nothing of what it gives.
"""

from __future__ import annotations

from collections.abc import Callable
from random import Random

from tests.bench.twin_parts import (
    FLUIDS,
    GLYCOLS,
    LUBRICATIONS,
    THREADS,
    TORQUE_UNITS,
    Inputs,
    bar,
    bolt,
    carried,
    concern,
    day,
    entry,
    holes,
    kit_pack,
    lever,
    many,
    maybe,
    near,
    places,
    reading,
    replaced,
    rising,
    spoiled,
    task,
    valve,
    wrench,
    written,
)

__all__ = ["GENERATORS", "spoiled"]

GENERATORS: dict[str, Callable[[Random], Inputs]] = {
    "amount_in_units": lambda r: {"text": written(r)},
    "torque_at_wrench": lambda r: {"target_nm": near(r, 0.1, 300), **lever(r)},
    "torque_applied": lambda r: {"set_nm": near(r, 0.1, 300), **lever(r)},
    "running_torque": lambda r: {"target_nm": near(r, 0.1, 300), "running_nm": near(r, 0, 20)},
    "torque_stages": lambda r: {
        "target_nm": near(r, 0.1, 300),
        "wrench_low_nm": near(r, 0, 50),
        "shares": r.choice([[30, 60, 100], [70, 100], [100], [20, 40, 80, 100], [60, 30, 100]]),
    },
    "choose_wrench": lambda r: {
        "target_nm": near(r, 0.1, 200),
        "wrenches": many(r, wrench, 1, 5),
        "factor": near(r, 0.5, 1.5),
        "low_nm": maybe(r, near(r, 0, 50)),
        "high_nm": maybe(r, near(r, 50, 200)),
        "today": maybe(r, day(r)),
    },
    "stress_area": lambda r: {"thread": r.choice([*THREADS, "M8", "12 mm", "M6x5"])},
    "threads_for_socket": lambda r: {"socket_mm": r.choice([7, 8, 10, 12, 13, 14, 15, 16, 17, 18, 19, 20, 21, 22, 24, 9.5])},
    "proof_load": bolt,
    "preload_band": lambda r: {"torque_nm": near(r, 0.1, 200), **bolt(r), "lubrication": r.choice(LUBRICATIONS)},
    "check_torque": lambda r: {**bolt(r), "lubrication": r.choice(LUBRICATIONS), "published": r.random() < 0.1},
    "preload_long": lambda r: {
        **bolt(r),
        "friction_thread": near(r, 0.02, 0.6),
        "friction_head": near(r, 0.02, 0.6),
        "share_percent": near(r, 1, 100),
        "head_mm": maybe(r, near(r, 8, 40)),
        "hole_mm": maybe(r, near(r, 4, 20)),
    },
    "preload_scatter": lambda r: {
        "preload_n": near(r, 1, 1e5),
        "tool_error_percent": near(r, 0, 50),
        "lubricated": r.random() < 0.5,
        "method": r.choice(["feel", "weight_on_lever", "torque_wrench", "turn_of_nut", "stretch"]),
    },
    "thread_strip": lambda r: {
        **bolt(r),
        "engaged_mm": near(r, 0.5, 40),
        "shear_mpa": near(r, 10, 600),
        "load_n": maybe(r, near(r, 100, 1e5)),
        "parent": r.choice(["aluminium", "steel"]),
    },
    "plausible_torque": lambda r: {"value": near(r, 0.1, 400), "unit": r.choice(TORQUE_UNITS), **bolt(r)},
    "tightening_order": lambda r: {"positions": holes(r)},
    "tightening_plan": lambda r: {
        "positions": holes(r),
        "target_nm": near(r, 0.5, 100),
        "wrench_low_nm": near(r, 0, 10),
    },
    "bottle_mark": lambda r: {"bottle_ml": near(r, 1, 5000), "pour_ml": near(r, 0, 3000)},
    "bottle_plan": lambda r: {
        "need_ml": near(r, 1, 4000),
        "sizes_ml": r.choice([[1000], [1000, 500], [1000, 4000], [946.35, 1000], [250, 400, 1000]]),
        "opened_ml": r.choice([[], [], [300], [120.5, 80]]),
    },
    "coolant_freeze": lambda r: {"glycol": r.choice(GLYCOLS), "percent": near(r, 5, 65)},
    "coolant_for_cold": lambda r: {"glycol": r.choice(GLYCOLS), "lowest_c": near(r, -60, 10)},
    "coolant_mix": lambda r: {
        "total_ml": near(r, 1, 5000),
        "percent": near(r, 5, 65),
        "product": r.choice(["concentrate", "concentrate", "premix"]),
    },
    "drain_and_refill": lambda r: {
        "system_ml": near(r, 500, 5000),
        "drained_ml": near(r, 0, 3000),
        "old_percent": near(r, 0, 100),
        "new_percent": near(r, 0, 100),
        "times": r.randrange(1, 6),
    },
    "drain_for_target": lambda r: {
        "system_ml": near(r, 500, 5000),
        "now_percent": near(r, 0, 60),
        "target_percent": near(r, 0, 80),
        "refill_percent": r.choice([100, 50, 0]),
    },
    "expansion_room": lambda r: {
        "system_ml": near(r, 100, 5000),
        "fluid": r.choice(FLUIDS),
        "from_c": near(r, 20, 60),
        "to_c": near(r, 20, 100),
    },
    "premix_oil": lambda r: {
        "fuel_ml": near(r, 1, 20000),
        "ratio": near(r, 10, 200),
        "oil_injection": r.random() < 0.1,
    },
    "premix_correct": lambda r: {
        "mix_ml": near(r, 1, 20000),
        "ratio_now": near(r, 10, 200),
        "ratio_wanted": near(r, 10, 200),
        "can_ml": maybe(r, near(r, 1000, 40000)),
    },
    "premix_top_up": lambda r: {
        "mix_ml": near(r, 0, 5000),
        "ratio_now": near(r, 10, 200),
        "add_fuel_ml": near(r, 1, 10000),
        "ratio_wanted": near(r, 10, 200),
    },
    "brake_fluid": lambda r: {
        key: r.choice(["DOT 3", "DOT 4", "DOT 5", "DOT 5.1", "mineral oil"]) for key in ("asked", "offered")
    },
    "shim_to_fit": lambda r: {
        **{k: v for k, v in valve(r).items() if k != "name"},
        "have_mm": many(r, lambda q: round(q.uniform(2, 3), 2), 0, 6),
        "step_mm": r.choice([0.05, 0.025, 0.1]),
    },
    "shim_swap": lambda r: {
        "valves": many(r, valve, 1, 6),
        "spare_mm": many(r, lambda q: round(q.uniform(2, 3), 2), 0, 5),
        "step_mm": r.choice([0.05, 0.025]),
    },
    "sag": lambda r: {
        "free_mm": near(r, 500, 700),
        "own_weight_mm": near(r, 480, 600),
        "rider_mm": maybe(r, near(r, 400, 520)),
        "travel_mm": maybe(r, near(r, 200, 320)),
        "static_low_mm": maybe(r, near(r, 20, 40)),
        "static_high_mm": maybe(r, near(r, 30, 60)),
        "rider_low_mm": maybe(r, near(r, 80, 100)),
        "rider_high_mm": maybe(r, near(r, 90, 120)),
    },
    "spring_rate": lambda r: {
        "rate_n_mm": near(r, 30, 90),
        "static_mm": near(r, 10, 50),
        "rider_sag_mm": near(r, 40, 130),
        "static_wanted_mm": near(r, 20, 45),
        "rider_wanted_mm": near(r, 40, 115),
        "step_n_mm": r.choice([1, 2, 5]),
    },
    "fork_oil_by_air_gap": lambda r: {
        "gap_mm": near(r, 50, 200),
        "wanted_gap_mm": near(r, 50, 200),
        "inner_diameter_mm": near(r, 25, 50),
        "rod_diameter_mm": near(r, 0, 30),
    },
    "limit_check": lambda r: {
        "readings": many(r, lambda q: near(q, 0, 5), 1, 8),
        "at_least": maybe(r, near(r, 0, 4)),
        "at_most": maybe(r, near(r, 2, 6)),
        "most_spread": maybe(r, near(r, 0, 1)),
    },
    "chain_wear": lambda r: {
        "measured_mm": near(r, 300, 345),
        "pitches": r.choice([20, 20, 20, 19, 25]),
        "pitch_mm": 15.875,
        "limit_percent": maybe(r, near(r, 0.5, 3)),
        "sprocket_teeth": maybe(r, r.randrange(8, 120)),
        "fixed_centres": r.random() < 0.3,
    },
    "ring_gap_from_bore": lambda r: {
        "gap_mm": near(r, 0, 1),
        "measured_bore_mm": near(r, 76.9, 77.3),
        "ring_bore_mm": near(r, 76.9, 77.2),
    },
    "battery_rest": lambda r: {
        "voltage_v": near(r, 10.5, 14),
        "rested_h": near(r, 0, 24),
        "battery": r.choice(["lead_acid_12v"] * 9 + ["lithium_12v"]),
    },
    "compression_compare": lambda r: {
        "readings_kpa": many(r, lambda q: near(q, 500, 1400), 1, 4),
        "least_share_percent": maybe(r, near(r, 50, 100)),
        "least_kpa": maybe(r, near(r, 500, 1200)),
    },
    "tyre_reads": lambda r: {"pressure_kpa": near(r, 0, 300), **places(r)},
    "tyre_set_here": lambda r: {"wanted_kpa": near(r, 0, 300), **places(r)},
    "torque_by_weight": lambda r: {"mass_kg": near(r, 0, 90), "lever_mm": near(r, 1, 1500), **bar(r)},
    "weight_for_torque": lambda r: {"target_nm": near(r, 0.5, 200), "lever_mm": near(r, 10, 1500), **bar(r)},
    "lever_for_torque": lambda r: {"target_nm": near(r, 0.5, 200), "mass_kg": near(r, 0.5, 90), **bar(r)},
    "scale_for_torque": lambda r: {
        "target_nm": near(r, 0.5, 200),
        "arm_mm": near(r, 10, 1500),
        "pull_angle_deg": near(r, 30, 150),
    },
    "flats_for_angle": lambda r: {"angle_deg": near(r, 1, 720), "fastener": r.choice(["hexagon", "square"])},
    "service_due": lambda r: {
        **task(r),
        "today": day(r),
        "done": maybe(r, reading(r)),
        "readings": many(r, reading, 0, 5),
    },
    "meter_total": lambda r: {
        "entries": many(
            r, lambda q: {"date": day(q), "reading": near(q, 0, 200), "new_meter": q.random() < 0.5}, 1, 4
        )
    },
    "last_done": lambda r: {
        "task": r.choice("abcd"),
        "contains": {"a": ["b", "c"], "c": ["d", "a"]},
        "log": many(r, entry, 0, 5),
    },
    "service_list": lambda r: {
        "tasks": [{"id": name, **task(r), "contains": r.choice([[], ["a"], ["b"]])} for name in "abc"],
        "log": rising(r, many(r, entry, 0, 4)),
        "today": day(r),
        "readings": many(r, lambda q: {"date": "2027-03-01", "hours": near(q, 200, 400), "km": near(q, 200, 400)}, 0, 2),
        "replaced": many(r, replaced, 0, 2) if r.random() < 0.3 else [],
    },
    "step_time": lambda r: {
        "estimate_min": near(r, 0.5, 120),
        "logs_min": many(r, lambda q: near(q, 0.5, 200), 0, 8),
        "weight": near(r, 0.1, 10),
        "alpha": near(r, 1.5, 50),
        "beta": near(r, 0.001, 10),
    },
    "job_time": lambda r: {
        "steps": many(r, lambda q: {"median_min": near(q, 0.5, 60), "sigma": near(q, 0, 1)}, 1, 8),
        "person_sigma": near(r, 0, 0.5),
    },
    "learned_weight": lambda r: {
        "steps": many(
            r,
            lambda q: {
                "estimate_min": near(q, 1, 60),
                "logs_min": many(q, lambda p: near(p, 1, 60), q.choice([2, 3, 3, 3, 3, 3, 3, 3]), 4),
            },
            29,
            40,
        )
    },
    "kit_check": lambda r: {"pack": kit_pack(r), "kit": many(r, carried, 0, 5)},
    "ride_home": lambda r: {"concerns": many(r, concern, 0, 4)},
}
