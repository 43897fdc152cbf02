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

const WRENCH = { id: "w", name: "small", low: 2, high: 25, unit: "N·m", step: 0.5, kind: "click", checked: "2026-06-01", dropped: false, lever_mm: 250 };
const AROUND = { place: "", machines: [], tools: [WRENCH], imperial: false, today: "2026-11-25" };

/** Thirty steps estimated at 20 minutes, taking half or twice that time and hardly scattering: an estimate then counts for little. */
const LEARNED = Object.fromEntries([["steps.count", "30"], ...Array.from({ length: 30 }, (_, n) => [[`steps.${n}.estimate_min`, "20"], [`steps.${n}.logs_min`, n % 2 === 0 ? "10; 10.5; 9.5" : "40; 42; 38"]]).flat()]) as Record<string, string>;

/** Form → the answer at its largest. Values by hand, or from the vectors that name their source. */
const EXAMPLES: [name: string, form: Record<string, string>, hero: string][] = [
  ["with-my-wrench", { target_nm: "10" }, "10.0 N·m"],
  ["with-my-wrench", { target_nm: "10", adapter_mm: "50", adapter_angle_deg: "90" }, "10.0 N·m"],
  ["torque-at-wrench", { target_nm: "25", lever_mm: "250", adapter_mm: "50", adapter_angle_deg: "0" }, "20.8 N·m (15.4 lbf·ft)"],
  ["torque-applied", { set_nm: "25", lever_mm: "250", adapter_mm: "50", adapter_angle_deg: "90" }, "25.0 N·m (18.4 lbf·ft)"],
  ["torque-stages", { target_nm: "100" }, "30.0 N·m (22.1 lbf·ft)"],
  ["running-torque", { target_nm: "20", running_nm: "2" }, "22.0 N·m (16.2 lbf·ft)"],
  ["units", { text: "15 lbf·ft" }, "20.3 N·m"],
  ["plausible-torque", { typed: "10 N·m", thread: "M6x1" }, "Plausible"],
  ["plausible-torque", { typed: "100 Nm", thread: "M6x1" }, "Too much"],
  ["threads-for-socket", { socket_mm: "12" }, "M8"],
  ["proof-load", { thread: "M8x1.25", grade: "8.8" }, "21.2 kN"],
  ["preload-band", { torque_nm: "20", thread: "M8x1.25", grade: "8.8", lubrication: "oiled" }, "9.6 – 25.0 kN"],
  ["check-torque", { thread: "M8x1.25", grade: "8.8", lubrication: "dry" }, "23 – 34 N·m"],
  ["preload-long", { thread: "M8x1.25", grade: "8.8", friction_thread: "0.12", friction_head: "0,12", share_percent: "90" }, "18.6 kN"],
  ["preload-scatter", { preload_n: "10000", method: "feel" }, "±35 %"],
  ["thread-strip", { thread: "M8x1.25", grade: "8.8", engaged_mm: "12", shear_mpa: "180" }, "The bolt"],
  ["tightening-circle", { count: "6", target_nm: "10" }, "1"],
  ["tightening-holes", { "holes.count": "4", "holes.0.x": "0", "holes.0.y": "0", "holes.1.x": "60", "holes.1.y": "0", "holes.2.x": "60", "holes.2.y": "40", "holes.3.x": "0", "holes.3.y": "40", target_nm: "10" }, "1"],
  ["bottle-mark", { bottle_ml: "1 l", pour_ml: "850" }, "150 ml (5.1 US fl oz)"],
  ["bottle-plan", { need_ml: "1300", sizes_ml: "500; 1000" }, "1 × 1000 ml, 1 × 500 ml"],
  ["coolant-mix", { total_ml: "1000", percent: "50" }, "500 ml (16.9 US fl oz)"],
  ["coolant-freeze", { percent: "50" }, "-34 °C (-29 °F)"],
  ["coolant-for-cold", { lowest_c: "-25" }, "43 %"],
  ["drain-and-refill", { system_ml: "1000", drained_ml: "500", old_percent: "30", new_percent: "50" }, "40 %"],
  ["drain-for-target", { system_ml: "1000", now_percent: "30", target_percent: "50" }, "286 ml (9.7 US fl oz)"],
  ["expansion-room", { system_ml: "1000" }, "41 ml (1.4 US fl oz)"],
  ["premix-oil", { fuel_ml: "5 l", ratio: "32" }, "156 ml (5.3 US fl oz)"],
  ["premix-correct", { mix_ml: "5100", ratio_now: "50", ratio_wanted: "32" }, "56 ml (1.9 US fl oz)"],
  ["premix-top-up", { mix_ml: "1000", ratio_now: "32", add_fuel_ml: "4000", ratio_wanted: "32" }, "125 ml (4.2 US fl oz)"],
  ["brake-fluid", {}, "Same grade"],
  ["shim-to-fit", { clearance_mm: "0.10", shim_mm: "2.60", low_mm: "0.13", high_mm: "0.17" }, "2.55 mm"],
  ["shim-swap", { "valves.0.name": "intake", "valves.0.clearance_mm": "0.10", "valves.0.shim_mm": "2.60", low_mm: "0.13", high_mm: "0.17", spare_mm: "2,55" }, "0"],
  ["sag", { free_mm: "620", own_weight_mm: "590", rider_mm: "525" }, "95.0 mm (3.74 in)"],
  ["spring-rate", { rate_n_mm: "48", static_mm: "30", rider_sag_mm: "100", static_wanted_mm: "30", rider_wanted_mm: "100" }, "48.0 N/mm"],
  ["fork-oil-by-air-gap", { gap_mm: "130", wanted_gap_mm: "120", inner_diameter_mm: "40" }, "13 ml (0.4 US fl oz)"],
  ["chain-wear", { measured_mm: "322", pitches: "20" }, "1.4 %"],
  ["limit-check", { readings: "3.4; 3.6", at_least: "3.2" }, "Within"],
  ["limit-check", { readings: "3.0", at_least: "3.2" }, "Outside"],
  ["ring-gap-from-bore", { gap_mm: "0.40", measured_bore_mm: "54.10", ring_bore_mm: "54.00" }, "0.09 mm (0.003 in)"],
  ["compression-compare", { readings_kpa: "900; 1000" }, "90 %"],
  ["battery-rest", { voltage_v: "12.7", rested_h: "5" }, "Full"],
  ["tyre-set-here", { wanted_kpa: "90", from_c: "20", to_c: "0" }, "104 kPa (15.1 psi)"],
  ["tyre-reads", { pressure_kpa: "100", from_c: "20", to_c: "20", to_altitude_m: "1800" }, "120 kPa (17.4 psi)"],
  ["tyre-reads", { pressure_kpa: "100", from_c: "20", to_c: "0" }, "86.5 kPa (12.5 psi)"],
  ["weight-for-torque", { target_nm: "100", lever_mm: "500" }, "20.4 kg (45.0 lb)"],
  ["lever-for-torque", { target_nm: "100", mass_kg: "20" }, "509.9 mm (20.1 in)"],
  ["torque-by-weight", { mass_kg: "20", lever_mm: "500" }, "98.0 N·m (72.5 lbf·ft)"],
  ["scale-for-torque", { target_nm: "20", arm_mm: "250" }, "8.16 kg (18.0 lb)"],
  ["flats-for-angle", { angle_deg: "90" }, "1 flat"],
  ["ride-home", { "concerns.count": "1", "concerns.0.name": "front brake", "concerns.0.safety": "brakes", "concerns.0.state": "not_final" }, "Do not ride"],
  ["service-due", { "limbs.0.meter": "hours", "limbs.0.every": "15", done_date: "2026-05-01", done_hours: "10", "readings.0.hours": "20" }, "Not yet due"],
  ["meter-total", { "entries.0.date": "2026-05-01", "entries.0.reading": "84.5" }, "84.5"],
  ["last-done", { task: "oil", larger: "big service", "log.0.task": "big service", "log.0.date": "2026-05-01" }, "1 May 2026"],
  ["service-list", { "tasks.0.id": "oil", "tasks.0.hours": "15", "log.count": "1", "log.0.task": "oil", "log.0.date": "2026-05-01", "log.0.hours": "80", "readings.0.date": "2026-06-01", "readings.0.hours": "6", "replaced.count": "1", "replaced.0.date": "2026-05-20", "replaced.0.before": "90" }, "Overdue"],
  ["learned-weight", LEARNED, "0.5"],
  ["step-time", { estimate_min: "30", logs_min: "28; 35; 31" }, "31 min"],
  ["job-time", { "steps.0.median_min": "30" }, "30 min"],
];

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
