// @vitest-environment jsdom
import { render } from "preact";
import { afterEach, beforeEach, expect, test, vi } from "vitest";
import { go } from "../../components/where";
import { begin, JOB, recorded } from "../testing/bench-fake";
import { press, settle, show, textOf } from "../testing/page";
import { StepScreen } from "../job/step-screen";
import "./rooms";

vi.mock("../../store/bench", () => import("../testing/bench-fake"));
vi.stubGlobal("scrollTo", () => undefined);

let root: HTMLElement;
const open = async (step: string, query = "?stop"): Promise<void> => {
  go(`/job/${JOB}/step/${step}${query}`);
  root = await show(<StepScreen job={JOB} step={step} />);
  await vi.waitFor(async () => {
    await settle();
    expect(root.querySelector(query ? ".stop" : ".inline-link[href$='?stop']")).not.toBeNull();
  });
};
const cards = () => [...root.querySelectorAll(".stop")].map(textOf);

beforeEach(() => begin());
afterEach(() => {
  render(null, root);
  root.remove();
});

test("drained and open it can be left, with what must be seen to; to push it two things are made good", async () => {
  await begin(["valve-off", "tray-on", "skid-off", "drain"]);
  await open("hose-aside");
  const [leave, push] = cards();
  expect(leave).toContain("It can be left standing as it is.");
  expect(leave).toContain("Cover the openings: coolant drain plug.");
  expect(leave).toContain("Drained: coolant.");
  expect(push).toContain("Make good 3 things, about 2 minutes.");
  expect(push).toContain("Put in a new one: drain washer (a new one is needed)");
  expect(push).toContain("do not start the engine and do not ride");
});

test("a row leads to the step that tells how", async () => {
  await begin(["valve-off", "tray-on", "skid-off", "drain"]);
  await open("hose-aside");
  const row = [...root.querySelectorAll<HTMLAnchorElement>(".stop-row")].find((link) => textOf(link).includes("Make fast: coolant drain plug"))!;
  expect(row.getAttribute("href")).toBe(`/job/${JOB}/step/drain-closed`);
});

test("a mixed way says what comes first, and tells steps and acts in the order in which they are done", async () => {
  await begin(["valve-off", "tray-on", "skid-off", "drain", "hose-aside", "cover-off", "seal-out", "bearing-look", "runout", "seal-in", "gasket", "oring"]);
  await open("cover-on");
  const [, push] = cards();
  expect(push).toContain("5 steps further, then make good 1 thing, about 7 minutes.");
  const rows = [...root.querySelectorAll(".stop:last-of-type .stop-rows .stop-row")].map(textOf);
  expect(rows.at(-1)).toContain("Take off: drip tray");
  expect(push).toContain("Or make good 7 things");
});

test("the job can be put away from here", async () => {
  await open("valve-off");
  await press(root, "Stop for now");
  expect(recorded().at(-1)).toEqual(["JobPaused", { step: "valve-off", away_s: expect.any(Number) }]);
});

test("a quiet line under the step says it in short", async () => {
  await open("valve-off", "");
  await vi.waitFor(async () => {
    await settle();
    expect(textOf(root.querySelector(".inline-link[href$='?stop']")!)).toBe("Stopping here? It can be left standing as it is.");
  });
});
