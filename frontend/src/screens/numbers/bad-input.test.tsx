// @vitest-environment jsdom
// Every field of every calculation with what people type by mistake: refused in three parts or answered with numbers, the form untouched.
import { render } from "preact";
import { expect, test, vi } from "vitest";
import { Refused } from "../../domain/refused";
import calc from "../../../../shared/messages/calc.en.json";
import numbers from "../../../../shared/messages/numbers.en.json";
import BAD from "../../../../shared/vectors/fixtures/bad-texts.json";

vi.mock("../../store/bench", () => import("../testing/bench-fake"));
// read as raw text by the build, which the test runner keeps to its own folder
vi.mock("./calc-messages", () => ({}));

await import("./rooms");
await import("./service-rooms");
const CALCULATORS = (await import("./registry")).calculators().filter(({ fields }) => fields.length > 0);
const { AnswerView, heroText } = await import("./answer-view");
const { firstForm, readForm, rowCount, rowKey } = await import("./fields");
const { addMessages, isMessage, messageParts } = await import("../../text/messages");
const { AROUND, EXAMPLES } = await import("./testing/examples");
type Calculator = (typeof CALCULATORS)[number];
type Field = Calculator["fields"][number];
type Form = Record<string, string>;

addMessages(Object.fromEntries(Object.entries({ ...calc, ...numbers }).filter(([code]) => !isMessage(code))));

const SIGNED = new Set(["temperature", "angle"]);
/** May be below nothing: heights above the sea, and places of holes. */
const PLACES = new Set(["from_altitude_m", "to_altitude_m", "x", "y"]);
const LEVERS = new Set(["lever_mm", "arm_mm"]);

const formOf = (calculator: Calculator): Form => ({ ...firstForm(calculator.fields, AROUND), ...EXAMPLES.find(([name]) => name === calculator.name)![1] }) as Form;

/** Every field that is typed into, rows by their first row. */
function typedFields(fields: readonly Field[], form: Form, at = (key: string) => key): [string, Field][] {
  return fields.flatMap((field): [string, Field][] => {
    if (field.kind === "rows") return rowCount(field, form) === 0 ? [] : typedFields(field.columns, form, (key) => rowKey(at(field.key), 0, key));
    return field.kind === "choice" || field.kind === "yes" ? [] : [[at(field.key), field]];
  });
}

/** The code of the refusal, with its message looked at; or null and what the answer says. */
function outcome(calculator: Calculator, form: Form): { code: string | null; said: string } {
  const before = JSON.stringify(form);
  try {
    const { input, failures } = readForm(calculator.fields, Object.freeze(form), false);
    const [failure] = Object.values(failures);
    if (failure) throw failure;
    const answer = calculator.work(input, AROUND);
    const said = calculator.said(answer.values, input, AROUND);
    const root = document.createElement("div");
    render(<AnswerView calculator={calculator} answer={answer} said={said} />, root);
    expect(root.innerHTML).not.toMatch(/NaN|undefined|Infinity|\[object|\{\w+\}/);
    return { code: null, said: `${heroText(said.hero)} ${root.textContent}` };
  } catch (error) {
    if (!(error instanceof Refused)) throw error;
    const { happened, means, do: todo } = messageParts(error.code, error.values);
    for (const part of [happened, means, todo]) {
      expect(part.split(" ").length, error.code).toBeGreaterThan(2);
      expect(part).not.toMatch(/\{\w+\}|NaN|undefined|Infinity|\[object/);
    }
    return { code: error.code, said: "" };
  } finally {
    expect(JSON.stringify(form)).toBe(before);
  }
}

const CASES = CALCULATORS.flatMap((calculator) => typedFields(calculator.fields, formOf(calculator)).map(([at, field]) => [calculator.name, at, calculator, field] as const));
const NUMERIC = CASES.filter(([, , , { kind }]) => kind === "amount" || kind === "number" || kind === "list");
const withText = (calculator: Calculator, at: string, text: string): Form => ({ ...formOf(calculator), [at]: text });

test("every calculation but the one without fields is here", () => expect(new Set(CASES.map(([name]) => name)).size).toBe(CALCULATORS.length - 1));

test.each(NUMERIC)("%s, %s: what is no number is refused", (_, at, calculator) => {
  for (const text of [...BAD.unreadable, ...BAD.absurd, ...BAD.mixed]) expect(outcome(calculator, withText(calculator, at, text)).code, text).not.toBeNull();
});

test.each(NUMERIC.filter(([, , , field]) => !PLACES.has(field.key) && !(field.kind !== "number" && SIGNED.has(String((field as { of?: string }).of)))))(
  "%s, %s: a negative number is refused", (_, at, calculator) => {
    for (const text of BAD.negative) expect(outcome(calculator, withText(calculator, at, text)).code, text).not.toBeNull();
  },
);

test.each(NUMERIC)("%s, %s: decimal commas, fractions and spaces say the same as points", (_, at, calculator) => {
  for (const [one = "", other = ""] of BAD.same) expect(outcome(calculator, withText(calculator, at, one)), one).toEqual(outcome(calculator, withText(calculator, at, other)));
});

test.each(NUMERIC.filter(([, , , field]) => field.key.endsWith("percent")))("%s, %s: more than 100 %% is refused", (_, at, calculator) => {
  for (const text of BAD.percent) expect(outcome(calculator, withText(calculator, at, text)).code, text).not.toBeNull();
});

test.each(NUMERIC.filter(([, , , field]) => LEVERS.has(field.key) && !field.optional))("%s, %s: a lever of zero is refused", (_, at, calculator) => {
  expect(outcome(calculator, withText(calculator, at, "0")).code).toBe("amount_not_positive");
});

test.each(CASES)("%s, %s: what is left empty is asked for, or need not be there", (_, at, calculator, field) => {
  const { code } = outcome(calculator, withText(calculator, at, ""));
  if (!field.optional) expect(code).not.toBeNull();
});

test.each(CASES.filter(([, , , { kind }]) => kind === "day"))("%s, %s: a day that there is not is refused", (_, at, calculator) => {
  for (const text of BAD.days) expect(outcome(calculator, withText(calculator, at, text)).code, text).not.toBeNull();
});

test.each(CASES.filter(([, , , { kind }]) => kind === "text"))("%s, %s: any words are refused or answered", (_, at, calculator) => {
  // words that the look for broken numbers knows are left out: a name is said as it was typed
  const plain = BAD.unreadable.filter((text) => !/NaN|Infinity/.test(text));
  for (const text of [...plain, ...BAD.absurd, ...BAD.negative, ...BAD.mixed, "<b>", "“", "a".repeat(200)]) outcome(calculator, withText(calculator, at, text));
});

