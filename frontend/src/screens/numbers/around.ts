/** What a calculation may know of the person and the day, read once for a screen. */
import { machines, myTools, prefs } from "../../store/bench";
import type { Around } from "./fields";

/** `place` is where the screen keeps what is typed and ticked. */
export const aroundNow = (place = ""): Around => ({
  place, machines: machines.value, tools: myTools.value, imperial: prefs.value.units === "imperial", today: new Date().toLocaleDateString("sv-SE"),
});
