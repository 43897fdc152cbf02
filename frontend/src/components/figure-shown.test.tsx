// @vitest-environment jsdom
import { render } from "preact";
import { beforeEach, expect, test } from "vitest";
import type { Figure } from "../store/bench";
import { prefs } from "../store/signals";
import { FigureShown, figureText } from "./figure-shown";
import { LimitsShown } from "./limits-shown";

const FIGURE: Figure = {
  id: "pump_cover_torque",
  kind: "torque",
  value: 10,
  low: null,
  high: null,
  unit: "N·m",
  as_published: "10 N·m",
  tolerance: "± 1 N·m",
  condition: "dry",
  source: "Hobmoor workshop sheet WS-12, p. 4 (invented)",
  revision: "2024-03",
  safety: "normal",
  when: null,
};
const shown = (node: preact.ComponentChild): string => {
  const root = document.createElement("div");
  render(node, root);
  return root.textContent!.replace(/\s+/g, " ").trim();
};
const hero = (node: preact.ComponentChild): string[] => {
  const root = document.createElement("div");
  render(node, root);
  const text = (found: Element, part: string) => found.querySelector(part)?.textContent?.trim();
  return [...root.querySelectorAll(".figure-line")].map((found) =>
    [".figure-bound", ".figure-hero", ".figure-unit"]
      .map((part) => text(found, part))
      .filter(Boolean)
      .join(" "),
  );
};

beforeEach(() => (prefs.value = { paper: "day", units: "metric" }));

test("a figure stands with unit, the other system, what was published, condition, source, revision and age", () => {
  const text = shown(<FigureShown figure={FIGURE} />);
  for (const part of ["10 N·m", "lbf·in", "Published as 10 N·m ± 1 N·m, dry.", "WS-12, p. 4 (invented), revision 2024-03", "age not known"])
    expect(text).toContain(part);
});

test("the wanted system comes first, and the published text stays", () => {
  prefs.value = { paper: "day", units: "imperial" };
  expect(hero(<FigureShown figure={{ ...FIGURE, as_published: "25 N·m", value: 25, tolerance: null }} />)).toEqual(["18.4 lbf·ft"]);
  expect(shown(<FigureShown figure={{ ...FIGURE, as_published: "25 N·m", value: 25, tolerance: null }} />)).toContain(
    "Published as 25 N·m, dry.",
  );
});

test.each([
  ["is missing", null],
  ["has no source", { ...FIGURE, source: " " }],
  ["has no unit", { ...FIGURE, as_published: "10" }],
  ["cannot be read", { ...FIGURE, as_published: "ten or so" }],
])("a figure that %s is not drawn, and never guessed", (_, figure) => {
  expect(hero(<FigureShown figure={figure} />)).toEqual([]);
  expect(shown(<FigureShown figure={figure} />)).toContain("Figure not known");
});

test("a stage shows its share, computed from the figure", () => {
  expect(hero(<FigureShown figure={FIGURE} stage={{ n: 1, of: 2, share: 60, angleDeg: null }} />)).toEqual(["6.0 N·m"]);
  expect(shown(<FigureShown figure={FIGURE} stage={{ n: 1, of: 2, share: 60, angleDeg: null }} />)).toContain(
    "Stage 1 of 2: 60 % of the figure",
  );
});

test("a share of a range is a range", () =>
  expect(
    hero(
      <FigureShown
        figure={{ ...FIGURE, value: null, low: 30, high: 40, as_published: "30 to 40 N·m", tolerance: null }}
        stage={{ n: 1, of: 2, share: 50, angleDeg: null }}
      />,
    ),
  ).toEqual(["15 – 20 N·m"]));
test("a share of a figure without a number is not known", () =>
  expect(
    shown(<FigureShown figure={{ ...FIGURE, value: null, as_published: "10 N·m" }} stage={{ n: 1, of: 2, share: 50, angleDeg: null }} />),
  ).toContain("Figure not known"));

test("a newer figure stands beside the old one, which is struck", () => {
  const root = document.createElement("div");
  render(<FigureShown figure={FIGURE} newer={{ figure: { ...FIGURE, as_published: "12 N·m", value: 12 }, revision: 4 }} />, root);
  expect(root.querySelector("s")!.textContent).toContain("10 N·m");
  expect(root.querySelector(".figure-newer strong")!.textContent).toContain("12 N·m");
});
test("an unchanged figure of a newer revision says nothing", () =>
  expect(shown(<FigureShown figure={FIGURE} newer={{ figure: FIGURE, revision: 4 }} />)).not.toContain("Revision 4"));

test("a row says both units, and nothing for a figure that is not known", () =>
  expect([figureText(FIGURE), figureText({ ...FIGURE, source: "" }), figureText(null)]).toEqual([
    expect.stringMatching(/^10 N·m \(.+ lbf·in\)$/),
    null,
    null,
  ]));

const LENGTH: Figure = { ...FIGURE, id: "pad_minimum", kind: "length", value: 1, unit: "mm", as_published: "1.0 mm", tolerance: null };
test("limits stand as bounds", () =>
  expect([
    hero(<LimitsShown low={LENGTH} high={null} />),
    hero(<LimitsShown low={null} high={LENGTH} />),
    hero(<LimitsShown low={LENGTH} high={{ ...LENGTH, id: "most", value: 3, as_published: "3.0 mm" }} />),
  ]).toEqual([["at least 1.0 mm"], ["at most 1.0 mm"], ["1.0 – 3.0 mm"]]));
test("two limits of unlike units both stand", () =>
  expect(hero(<LimitsShown low={LENGTH} high={{ ...LENGTH, id: "most", value: 30, as_published: "3 cm" }} />)).toHaveLength(2));
test("limits with one bound not known are not shown as safe", () =>
  expect(shown(<LimitsShown low={LENGTH} high={{ ...LENGTH, id: "most", source: "" }} />)).toContain("Figure not known"));
