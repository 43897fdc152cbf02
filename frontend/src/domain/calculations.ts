/**
 * Every bench calculation by its Python name, for the check vectors and the comparison of the two languages.
 * Screens import the one module they need instead, so that a phone loads no more than that.
 */
import type { Answer } from "./answer";
import { runningTorque, torqueApplied, torqueAtWrench, torqueStages } from "./torque";
import { chooseWrench } from "./wrenches";

// `any`: arguments arrive as data; each calculation checks its own
export const CALCULATIONS: Readonly<Record<string, (input: any) => Answer>> = {
  torque_at_wrench: torqueAtWrench,
  torque_applied: torqueApplied,
  running_torque: runningTorque,
  torque_stages: torqueStages,
  choose_wrench: chooseWrench,
};
