import { expect, test, vi } from "vitest";
import type { JobSummary, Machine, ProcedurePack } from "../../store/bench";
import { MACHINE, PACK } from "../testing/bench-fake";
import { alsoRows } from "./also-view";

vi.mock("../../store/bench", () => import("../testing/bench-fake"));

const OIL = { name: "engine oil change", every: [{ meter: "hours", every: 15 }, { meter: "months", every: 12 }], procedure: "change-oil", source: "plan" };
const VALVES = { name: "valve clearance check", every: [{ meter: "hours", every: 60 }], procedure: null, source: "plan" };
const row = (service: string, more: number, alone: number, acts: string[]) => ({ service, minutes_more: more, minutes_alone: alone, acts });
const pack = {
  ...PACK,
  also: {
    services: { oil: OIL, valves: VALVES },
    options: ["skid_plate"],
    rows: [[row("oil", 0, 23.3, []), row("valves", 6.2, 55.4, ["undo the screws"])], [row("valves", 8, 55.4, ["undo the screws", "take the skid plate off"])]],
    of: [
      { years: [2021, 2023], options: [], rows: 0 },
      { years: [2021, 2023], options: ["skid_plate"], rows: 1 },
    ],
  },
} as ProcedurePack;
const plain: Machine = { ...MACHINE, options: [], hours: 60 };
const finished = (hours: number | null, wall: string): JobSummary =>
  ({ machine: { ...plain, hours }, procedure: "change-oil", closed: { outcome: "finished" }, startedWall: wall }) as JobSummary;

test("the machine's own rows are told: by its year and the options that make a difference", () => {
  expect(alsoRows(pack, plain, [], "2026-05-01").map(({ id }) => id)).toEqual(["oil", "valves"]);
  expect(alsoRows(pack, { ...plain, options: ["skid_plate", "kick_start"] }, [], "2026-05-01").map(({ cost }) => cost)).toEqual([
    "8 minutes more now, 55 on its own.",
  ]);
  expect(alsoRows(pack, { ...plain, year: 2024 }, [], "2026-05-01")).toEqual([]);
});

test("what this phone knows nothing of is offered if it is due, never called not due", () => {
  const [oil, valves] = alsoRows(pack, plain, [], "2026-05-01");
  expect(oil).toMatchObject({ cost: "Done by this job.", due: "unknown" });
  expect(valves!.dueText).toBe("If it is due (every 60 hours): this phone does not know when it was last done.");
});

test("a finished job of its procedure and the hour meter say whether it is due", () => {
  const due = (jobs: JobSummary[], machine = plain) => alsoRows(pack, machine, jobs, "2026-05-01").find(({ id }) => id === "oil")!.due;
  expect(due([finished(40, "2026-04-01T10:00:00+02:00")])).toBe("overdue");
  expect(due([finished(50, "2026-04-01T10:00:00+02:00")])).toBe("ok");
  expect(due([finished(40, "2026-04-01T10:00:00+02:00"), finished(58, "2026-04-20T10:00:00+02:00")])).toBe("ok");
  expect(due([finished(null, "2026-04-01T10:00:00+02:00")])).toBe("unknown");
  expect(due([finished(50, "2026-04-01T10:00:00+02:00")], { ...plain, hours: null })).toBe("unknown");
  expect(due([finished(70, "2026-04-01T10:00:00+02:00")])).toBe("unknown");
});

test("overdue comes first", () => {
  const rows = alsoRows({ ...pack, also: { ...pack.also!, rows: [[row("valves", 6, 55, ["x"]), row("oil", 1, 23, ["y"])], []] } }, plain, [finished(40, "2026-04-01T10:00:00Z")], "2026-05-01");
  expect(rows.map(({ id }) => id)).toEqual(["oil", "valves"]);
});

test("a pack without it offers nothing", () => {
  expect(alsoRows(PACK, plain, [], "2026-05-01")).toEqual([]);
});
