/** How the person wants the screens: paper, units, and what screens add. */
import { announce } from "./changes";
import { readMeta, writeStrict } from "./database";
import { prefs } from "./signals";
import type { Prefs } from "./types";

const START: Prefs = { paper: "day", units: "metric" };

export async function showPrefs(): Promise<void> {
  prefs.value = { ...START, ...(await readMeta("prefs")) };
}

/** The signal follows at once, so that a press is answered; the database follows. */
export async function setPrefs(changes: Partial<Prefs>): Promise<void> {
  prefs.value = { ...prefs.peek(), ...changes } as Prefs;
  await writeStrict(["meta"], async (tx) => {
    const now = (await tx.objectStore("meta").get("prefs")) as Prefs | undefined;
    await tx.objectStore("meta").put({ ...START, ...now, ...changes }, "prefs");
  });
  announce({ type: "changed", part: "prefs" });
}
