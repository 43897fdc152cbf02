"""The compiled forms that are simulated, followed and shown: the procedure pack and the model pack.

Knows their shape only (shared/README.md §6, shared/schemas); every field is present, None where the text has none.
"""

from typing import Literal, NotRequired, TypedDict

from benchtrail.domain.guards import Guard

Condition = list[str]
Alternatives = list[list[Condition]]
Safety = Literal["normal", "brakes", "steering", "fuel", "wheels", "throttle", "lifting"]


class Figure(TypedDict):
    """A published value; `value`, `low`, `high` in the canonical unit of its kind."""

    id: str
    kind: str
    value: float | None
    low: float | None
    high: float | None
    unit: str
    as_published: str
    tolerance: str | None
    condition: str
    source: str
    revision: str | None
    safety: Safety
    when: Guard


class Caution(TypedDict):
    """A safety message; `triggers` are the actions that call for it."""

    id: str
    signal: str
    hazard: str
    consequence: str
    avoidance: str
    triggers: list[list[str]]
    when: Guard


class Action(TypedDict):
    """What a step does: a verb and the id of its object."""

    verb: str
    object: str
    stage: NotRequired[int]
    to: NotRequired[str]
    amount_ml: NotRequired[float]
    minutes: NotRequired[float]
    value: NotRequired[str]


class Limits(TypedDict):
    """Limits of a reading; `low` and `high` are ids of figures."""

    check: str
    kind: str
    unit: str
    low: str | None
    high: str | None
    # `pass` is a word of Python; it is read by its text
    fail: str
    fail_needs: str


class Step(TypedDict):
    """One step."""

    id: str
    section: str
    do: list[Action]
    say: str
    detail: str | None
    when: Guard
    figure: str | None
    cautions: list[str]
    limits: Limits | None
    look_for: str | None
    picture: str | None
    minutes: float | None
    tools: list[str]


class Option(TypedDict):
    """An option of a model; of one `group` exactly one is fitted."""

    id: str
    name: str
    group: str | None
    when: Guard


class Part(TypedDict):
    """A part."""

    name: str
    side: str | None
    number: str | None
    count: int
    when: Guard
    renew: str
    hold: bool
    mass_kg: float | None
    look_for: str | None
    exit: Alternatives
    aside: Alternatives | None
    safety: Safety
    inside: bool
    minutes: float | None
    treatment: "Treatment"
    own_place: bool
    leaves_open: str | None


class PartsUnit(TypedDict):
    """Parts that may leave as one."""

    name: str
    parts: list[str]
    when: Guard
    exit: Alternatives | None
    minutes: float | None


class Position(TypedDict):
    """One fastener of a joint, mm on its face."""

    at: list[float]
    length_mm: float | None
    label: str | None
    blind: bool


class Treatment(TypedDict):
    """What goes on threads, or on a part: `due` before it is fitted, or by the end; minutes for which it may lie open, and
    must rest before fluid, heat or running reach it."""

    kind: str
    supply: str | None
    due: str
    open_min: float | None
    cure_min: float | None


class Stage(TypedDict):
    """One stage of tightening: a share of the joint's figure, a figure of its own, or an angle."""

    share: NotRequired[float]
    figure: NotRequired[str]
    angle_deg: NotRequired[float]
    pose: str | None


class Joint(TypedDict):
    """What holds parts together."""

    name: str
    joins: list[str]
    kind: str
    thread: str | None
    tools: list[str]
    positions: list[Position]
    reach: Alternatives
    holds: list[str]
    dry_in: list[str]
    figure: str | None
    hand: str | None
    treatment: Treatment
    pattern: str
    order: list[int] | None
    stages: list[Stage]
    renew: str
    number: str | None
    safety: Safety
    when: Guard
    minutes: dict[str, float | None] | None


class Fluid(TypedDict):
    """A fluid, its amounts and the joints by which it goes in and out."""

    name: str
    capacity_ml: float | None
    refill_ml: float | None
    specification: str | None
    fill: str | None
    drain: str | None
    level: str | None
    hazards: list[str]
    disposal: str | None
    when: Guard
    minutes: dict[str, float | None] | None


class Tool(TypedDict):
    """A tool; torque wrenches have a range in N·m."""

    name: str
    kind: str | None
    low_nm: float | None
    high_nm: float | None
    when: Guard


class Supply(TypedDict):
    """Something used up."""

    name: str
    kind: str | None
    when: Guard


class Pose(TypedDict):
    """A pose of the machine; of one family it is in one at a time. `steady`: it may be left alone in it; None: not said."""

    name: str
    family: str
    when: Guard
    minutes: float | None
    needs: Alternatives
    steady: NotRequired[bool | None]


class Setting(TypedDict):
    """A valve, lever or switch."""

    name: str
    values: list[str]
    start: str
    when: Guard
    minutes: float | None


class Aid(TypedDict):
    """Something put on for the job that must come off again; `control` when it locks a control or covers an intake."""

    name: str
    control: bool
    catches: list[str]
    covers: list[str]
    carries: list[str]
    when: Guard


class Check(TypedDict):
    """Something measured, adjusted, tested, run, levelled or bled."""

    name: str
    kind: str
    figure: str | None
    fluid: str | None
    when: Guard
    minutes: float | None
    reach: Alternatives
    tools: list[str]
    at_least: str | None
    at_most: str | None


class Limb(TypedDict):
    """One limb of an interval: every so many hours, km, starts, days or months."""

    meter: str
    every: float


class Service(TypedDict):
    """What falls due at an interval, and the goals that doing it means."""

    name: str
    goals: list[Condition]
    every: list[Limb]
    procedure: str | None
    source: str
    when: Guard


class FollowOn(TypedDict):
    """What must be done because something was disturbed."""

    after: list[Condition]
    needs: list[str]
    reason: str
    safety: Safety
    when: Guard


class Isolation(TypedDict):
    """Energy that must be shut off or let go before an act: during which acts, and what must be true then."""

    energy: str
    during: list[list[str]]
    needs: Alternatives
    reason: str
    when: Guard


class Picture(TypedDict):
    """A picture by its hash."""

    sha256: str
    mime: str
    bytes: int
    alt: str


class Model(TypedDict):
    """The model that a procedure is for."""

    id: str
    name: str
    years: list[int]
    options: list[Option]


class Accepted(TypedDict):
    """A warning of the checks that the author lets stand; `step` for a procedure, `object` for a map."""

    check: str
    step: str | None
    object: str | None
    reason: str


class Tables(TypedDict):
    """The objects of a machine by id."""

    parts: dict[str, Part]
    units: dict[str, PartsUnit]
    joints: dict[str, Joint]
    figures: dict[str, Figure]
    fluids: dict[str, Fluid]
    tools: dict[str, Tool]
    supplies: dict[str, Supply]
    poses: dict[str, Pose]
    settings: dict[str, Setting]
    aids: dict[str, Aid]
    cautions: dict[str, Caution]
    checks: dict[str, Check]
    follow_ons: dict[str, FollowOn]
    isolations: dict[str, Isolation]


class ModelPack(Tables):
    """A compiled map."""

    format: str
    dealer: str
    model: str
    name: str
    invented: bool
    years: list[int]
    options: list[Option]
    revision: int
    issued: str
    accepted: list[Accepted]
    services: NotRequired[dict[str, Service]]


class ProcedurePack(Tables):
    """A compiled procedure."""

    format: str
    dealer: str
    procedure: str
    title: str
    summary: str
    invented: bool
    revision: int
    issued: str
    author: str
    change_note: str
    model: Model | None
    applies: Guard
    goal: list[Condition]
    safety: list[Safety]
    people: int
    skill: str
    start: list[Condition]
    ends: list[Condition]
    prepare: dict[str, list[str]]
    stop_and_ask: str
    disposal: str | None
    steps: list[Step]
    pictures: dict[str, Picture]
    accepted: list[Accepted]
