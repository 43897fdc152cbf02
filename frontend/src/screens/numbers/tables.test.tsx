// @vitest-environment jsdom
import { render } from "preact";
import { expect, test, vi } from "vitest";
import { Refused } from "../../domain/refused";
import amounts from "../../../../shared/messages/amounts.en.json";
import calc from "../../../../shared/messages/calc.en.json";

vi.mock("../../store/bench", () => import("../testing/bench-fake"));

await import("./rooms");
await import("./service-rooms");
const CALCULATORS = (await import("./registry")).calculators();
const { AnswerView, heroText } = await import("./answer-view");
const { firstForm, readForm } = await import("./fields");
const { AROUND, EXAMPLES } = await import("./testing/examples");

function worked(name: string, typed: Record<string, string>) {
  const calculator = CALCULATORS.find((each) => each.name === name)!;
  const form = { ...firstForm(calculator.fields, AROUND), ...typed };
  const { input, failures } = readForm(calculator.fields, form, false);
  const [failed] = Object.values(failures);
  if (failed) throw failed;
  const answer = calculator.work(input, AROUND);
  return { calculator, answer, said: calculator.said(answer.values, input, AROUND) };
}

test.each(EXAMPLES.map(([name, form, hero]) => [name, hero, form] as const))("%s says %s", (name, hero, form) => {
  const { calculator, answer, said } = worked(name, form);
  expect(heroText(said.hero)).toBe(hero);
  const root = document.createElement("div");
  render(<AnswerView calculator={calculator} answer={answer} said={said} />, root);
  // a date that could break at its hyphen is said as a day
  expect(root.textContent).not.toMatch(/\d{4}-\d\d-\d\d/);
  expect(root.innerHTML).not.toMatch(/NaN|undefined|Infinity|\[object|\{\w+\}/);
  expect(root.textContent).toMatch(/Working.+Source.+Stops being true/);
  expect(root.querySelectorAll("svg[role=img]").length).toBeGreaterThan(0);
  root.querySelectorAll("svg[role=img]").forEach((drawing) => expect(drawing.getAttribute("aria-label")).toMatch(/\w{3}/));
});

test("every calculation on the list has an example here, but the one that reads a pack", () => {
  const shown = new Set(EXAMPLES.map(([name]) => name));
  expect(CALCULATORS.map(({ name }) => name).filter((name) => !shown.has(name))).toEqual(["kit-check"]);
});

test.each(CALCULATORS.filter(({ name, fields }) => name !== "kit-check" && fields.some((field) => field.kind !== "choice" && field.kind !== "rows")).map(({ name }) => name))(
  "%s with nothing typed is refused with a message of three parts, or answers from its choices", (name) => {
    try {
      worked(name, {});
      expect(["brake-fluid"]).toContain(name);
    } catch (error) {
      expect(error).toBeInstanceOf(Refused);
      expect({ ...calc, ...amounts }).toHaveProperty((error as Refused).code);
    }
  },
);

test.each([
  ["torque-at-wrench", { target_nm: "25", lever_mm: "100", adapter_mm: "100", adapter_angle_deg: "180" }, "adapter_cancels_lever"],
  ["tightening-circle", { count: "6", target_nm: "10", lengths_mm: "25; 30" }, "lengths_not_holes"],
  ["service-list", { "tasks.0.id": "oil" }, "interval_missing"],
  ["service-list", { "tasks.0.id": "oil", "tasks.0.hours": "15", "log.count": "1", "log.0.task": "oil", "log.0.date": "2026-05-01", "log.0.hours": "80", "readings.0.hours": "6" }, "reading_below_last"],
  ["learned-weight", { "steps.0.estimate_min": "20", "steps.0.logs_min": "19" }, "too_few_logs"],
  ["torque-at-wrench", { target_nm: "25", lever_mm: "0", adapter_mm: "100" }, "amount_not_positive"],
  ["bottle-mark", { bottle_ml: "500", pour_ml: "850" }, "pour_exceeds_bottle"],
  ["coolant-mix", { total_ml: "1000", percent: "120" }, "amount_too_high"],
  ["coolant-freeze", { percent: "80" }, "glycol_outside_table"],
  ["check-torque", { thread: "M8x1.25", published: "yes" }, "published_figure_stands"],
  ["check-torque", { thread: "M8", grade: "8.8" }, "pitch_missing"],
  ["tightening-circle", { count: "2.5", target_nm: "10" }, "list_length"],
  ["flats-for-angle", {}, "angle_not_published"],
  ["brake-fluid", { asked: "DOT 4", offered: "DOT 5" }, "brake_fluid_other_family"],
])("%s of %o is refused: %s", (name, form, code) => {
  expect(() => worked(name, form as unknown as Record<string, string>)).toThrow(expect.objectContaining({ code }));
});

/** Both outcomes of what is measured: what follows stands beside the verdict. */
test.each([
  ["limit-check", { readings: "3.4", at_least: "3.2" }, "It may be used on."],
  ["limit-check", { readings: "3.0", at_least: "3.2" }, "Renew it"],
  ["chain-wear", { measured_mm: "318", pitches: "20" }, "It may be used on."],
  ["chain-wear", { measured_mm: "330", pitches: "20" }, "Renew the chain"],
  ["compression-compare", { readings_kpa: "900; 1000", least_share_percent: "85" }, "may run on"],
  ["compression-compare", { readings_kpa: "800; 1000", least_share_percent: "85" }, "Find the cause first"],
  ["compression-compare", { readings_kpa: "800; 1000" }, "a reading, not a verdict"],
  ["sag", { free_mm: "620", own_weight_mm: "590", static_low_mm: "35", static_high_mm: "40" }, "less spring preload"],
  ["sag", { free_mm: "620", own_weight_mm: "570", static_low_mm: "35", static_high_mm: "40" }, "more spring preload"],
  ["sag", { free_mm: "620", own_weight_mm: "583", static_low_mm: "35", static_high_mm: "40" }, "within its limits"],
  ["shim-to-fit", { clearance_mm: "0.15", shim_mm: "2.60", low_mm: "0.13", high_mm: "0.17" }, "nothing need change"],
  ["ring-gap-from-bore", { gap_mm: "0.40", measured_bore_mm: "54.10", ring_bore_mm: "54.00" }, "The maker's limit decides"],
])("%s of %o says what follows: %s", (name, form, words) => {
  const { calculator, answer, said } = worked(name, form as unknown as Record<string, string>);
  const root = document.createElement("div");
  render(<AnswerView calculator={calculator} answer={answer} said={said} />, root);
  expect(root.textContent).toContain(words);
});
