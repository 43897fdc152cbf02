/** Renders a screen into a page and finds things in it as a person does: by what they say. */
import { render, type ComponentChild } from "preact";

/** Effects run after the next frame, what they load comes later still: waits until the page has been still for some turns. */
export async function settle(): Promise<void> {
  let before = "";
  for (let still = 0, turn = 0; still < 4 && turn < 200; turn += 1) {
    await new Promise((done) => setTimeout(done, 10));
    const now = document.body.innerHTML;
    still = now === before ? still + 1 : 0;
    before = now;
  }
}

export async function show(screen: ComponentChild): Promise<HTMLElement> {
  const root = document.body.appendChild(document.createElement("div"));
  render(screen, root);
  await settle();
  return root;
}

export const textOf = (root: Element): string => (root.textContent ?? "").replace(/\s+/g, " ").trim();

/** The button or link with these words; an error that names the ones there are when it is missing. */
export function pressable(root: Element, words: string | RegExp): HTMLElement {
  const all = [...root.querySelectorAll<HTMLElement>("button, a")];
  const found = all.find((each) => (typeof words === "string" ? textOf(each) === words : words.test(textOf(each))));
  if (!found) throw new Error(`nothing to press says ${words}; there are: ${all.map(textOf).join(" | ")}`);
  return found;
}

export async function press(root: Element, words: string | RegExp): Promise<void> {
  pressable(root, words).click();
  await settle();
}

export async function type(root: Element, label: string, text: string): Promise<void> {
  const found = [...root.querySelectorAll("label")].find((each) => textOf(each) === label);
  const field = found && (document.getElementById(found.htmlFor) as HTMLInputElement | null);
  if (!field) throw new Error(`no field is called ${label}`);
  field.value = text;
  field.dispatchEvent(new Event("input", { bubbles: true }));
  await settle();
}
