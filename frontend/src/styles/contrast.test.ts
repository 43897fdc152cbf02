import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";

const css = readFileSync(new URL("./card.css", import.meta.url), "utf8");
const DAY = colours(/^:root \{([^}]*)\}/m);
const PAPERS = {
  day: DAY,
  night: { ...DAY, ...colours(/:root\[data-paper="night"\] \{([^}]*)\}/) },
  sun: { ...DAY, ...colours(/:root\[data-paper="sun"\] \{([^}]*)\}/) },
};

function colours(block: RegExp): Record<string, string> {
  const found = block.exec(css)?.[1] ?? "";
  return Object.fromEntries([...found.matchAll(/--([\w-]+): (#[0-9a-f]{6});/g)].map(([, name, value]) => [name, value]));
}

/** Contrast of two colours, 1 to 21. Source: WCAG 2.2, relative luminance and contrast ratio. */
function contrast(one: string, other: string): number {
  const light = (hex: string) => {
    const [r, g, b] = [1, 3, 5]
      .map((at) => parseInt(hex.slice(at, at + 2), 16) / 255)
      .map((c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4));
    return 0.2126 * r! + 0.7152 * g! + 0.0722 * b!;
  };
  const [bright, dark] = [light(one), light(other)].sort((a, b) => b - a) as [number, number];
  return (bright + 0.05) / (dark + 0.05);
}

test("black on white is 21, so the measure itself holds", () => expect(contrast("#000000", "#ffffff")).toBeCloseTo(21, 5));

// AAA (7:1) for figures, cautions and all other text; AA (4.5:1) for the words of what can be pressed
describe.each(Object.entries(PAPERS))("%s paper", (_, paper) => {
  test.each([
    ["ink", "paper", 7],
    ["ink", "card", 7],
    ["ink", "fill", 7],
    ["soft", "paper", 7],
    ["soft", "card", 7],
    ["on-amber", "amber", 7],
    ["on-red", "red", 7],
    ["press", "paper", 4.5],
    ["press", "card", 4.5],
    ["on-press", "press", 4.5],
  ] as const)("%s on %s", (ink, ground, least) => expect(contrast(paper[ink]!, paper[ground]!)).toBeGreaterThanOrEqual(least));
});
