// @vitest-environment jsdom
import { expect, test, vi } from "vitest";

vi.mock("../../store/bench", () => import("../testing/bench-fake"));

const { begin, events, jobs, PACK } = await import("../testing/bench-fake");
const { viewOf } = await import("../job/job-view");
const { offersOf } = await import("./step-offers");
await import("./rooms");
await import("./service-rooms");
const { calculators } = await import("./registry");
const { readForm } = await import("./fields");

async function offersAt(id: string, done: string[] = []) {
  await begin(done);
  const view = viewOf(jobs.value[0]!, PACK, null, events.value);
  const step = view.steps.find((each) => each.id === id);
  // a step that this machine does not have offers nothing
  return step ? offersOf(view, step) : [];
}

test("what a step offers are calculations there are, and no field that they do not have", async () => {
  for (const { id } of PACK.steps) {
    for (const { name, form } of await offersAt(id)) {
      const calculator = calculators().find((each) => each.name === name);
      expect(calculator, name).toBeDefined();
      const known = calculator!.fields.map(({ key }) => key);
      expect(Object.keys(form).filter((at) => !known.some((key) => at === key || at.startsWith(`${key}.`)))).toEqual([]);
      const { failures } = readForm(calculator!.fields, form, false);
      expect(Object.entries(failures).filter(([at]) => at in form), name).toEqual([]);
    }
  }
});

test("a torque comes with its figure, its thread and, off the safety joints, the ways of the trail-side", async () => {
  const tightening = PACK.steps.filter(({ do: acts }) => acts.some(({ verb, object }) => verb === "tighten" && PACK.joints[object]?.figure));
  expect(tightening.length).toBeGreaterThan(0);
  for (const step of tightening) {
    const joint = PACK.joints[step.do.find(({ verb }) => verb === "tighten")!.object]!;
    const figure = PACK.figures[step.figure ?? joint.figure!]!;
    if (figure.value === null || figure.kind !== "torque") continue;
    const offers = await offersAt(step.id);
    if (offers.length === 0) continue;
    const names = offers.map(({ name }) => name);
    expect(names).toContain("with-my-wrench");
    expect(offers.find(({ name }) => name === "plausible-torque")!.form["typed"]).toBe(figure.as_published);
    expect(names.includes("weight-for-torque")).toBe(joint.safety === "normal" && figure.safety === "normal");
  }
});

test("what is undone in the running job stands in the ride home", async () => {
  const first = PACK.steps.findIndex(({ do: acts }) => acts.some(({ verb }) => verb === "undo"));
  const undone = PACK.steps.slice(0, first + 1).map(({ id }) => id);
  const ride = (await offersAt(PACK.steps[first]!.id, undone)).find(({ name }) => name === "ride-home")!;
  expect(Number(ride.form["concerns.count"])).toBeGreaterThan(0);
  expect(Object.values(ride.form)).toContain("undone");
});

test("what a step took in the jobs of this phone stands in its offer of time, and in that of the job", async () => {
  const [first, second] = PACK.steps.filter(({ minutes, when }) => minutes !== null && when === null);
  await begin([first!.id]);
  events.value = events.value.map((event, n) => ({ ...event, wall: new Date(Date.UTC(2026, 10, 25, 8, n * 3)).toISOString() }));
  const view = viewOf(jobs.value[0]!, PACK, null, events.value);
  const offers = (id: string) => offersOf(view, view.steps.find((step) => step.id === id)!);
  expect(offers(first!.id).find(({ name }) => name === "step-time")!.form).toEqual({ estimate_min: `${first!.minutes} min`, logs_min: "3" });
  expect(offers(second!.id).find(({ name }) => name === "step-time")!.form).toEqual({ estimate_min: `${second!.minutes} min` });
  const job = offers(second!.id).find(({ name }) => name === "job-time")!;
  expect(job.about).toMatch(/ \d+ of \d+ open steps, the others have no estimate$/);
  // with no log a step is no surer than a guess
  expect(new Set(Object.entries(job.form).filter(([at]) => at.endsWith("sigma")).map(([, sigma]) => sigma))).toEqual(new Set(["0.7"]));
});
