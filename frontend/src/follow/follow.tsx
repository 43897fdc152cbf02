/** The phone's own screens of a job, over a text that is being written: shown in a frame beside it, and walked through for real. */
import "../styles/card.css";
import "../styles/press.css";
import "../styles/caution.css";
import "../styles/job.css";
import "../styles/job-sheet.css";
import "../styles/drawings.css";
import "@preact/signals";
import { effect } from "@preact/signals";
import { createElement, render, type ComponentType } from "preact";
import screens from "../../../shared/messages/screens.en.json";
import { followAddress, go, path } from "../components/where";
import { parametersOf } from "../routes-read";
import { CloseScreen } from "../screens/close/close-screen";
import { LedgerScreen } from "../screens/job/ledger-screen";
import { NotesScreen } from "../screens/job/notes-screen";
import { ResumeScreen } from "../screens/job/resume-screen";
import { StepScreen } from "../screens/job/step-screen";
import { TorqueScreen } from "../screens/job/torque-screen";
import type { ProcedurePack } from "../store/bench";
import { addMessages } from "../text/messages";
import { begin, comeTo, JOB, show, shown, type Variant } from "./bench-in-memory";
import { keepOwnHistory } from "./own-history";

type AnyScreen = ComponentType<Record<string, string>>;
const SCREENS: [string, unknown][] = [
  ["/job/:job", ResumeScreen],
  ["/job/:job/step/:step", StepScreen],
  ["/job/:job/ledger", LedgerScreen],
  ["/job/:job/torques", TorqueScreen],
  ["/job/:job/notes", NotesScreen],
  ["/job/:job/close", CloseScreen],
];
export type ToFollow = { pack: ProcedurePack; variant: Variant; pictures: string; step: string | null; again: boolean };

function Walk() {
  if (!shown.value) return <p class="page-body">The phone shows the text as soon as it can be read.</p>;
  for (const [pattern, screen] of SCREENS) {
    const parameters = parametersOf(pattern, path.value);
    if (parameters) return createElement(screen as AnyScreen, { ...parameters, key: path.value });
  }
  return (
    <main class="page-body">
      <p>This place of the phone is not part of the walk.</p>
      <a class="press main" href={`/job/${JOB}`}>
        Back to the job
      </a>
    </main>
  );
}

function onMessage(event: MessageEvent<ToFollow>): void {
  if (event.origin !== location.origin || event.source !== parent || !event.data?.pack) return;
  const { pack, variant, pictures, step, again } = event.data;
  const first = !shown.peek();
  show(pack, variant, pictures);
  if (again) begin();
  if (step) comeTo(step);
  const at = step ?? (first || again ? pack.steps[0]?.id : undefined);
  if (at) go(`/job/${JOB}/step/${encodeURIComponent(at)}`, true);
}

/** The screens take the focus at each step; from within a frame that would take it from what is being typed at the desk. */
function leaveFocusToTheDesk(): void {
  const focus = HTMLElement.prototype.focus;
  HTMLElement.prototype.focus = function (this: HTMLElement, options?: FocusOptions) {
    if (document.hasFocus()) focus.call(this, options);
  };
}

leaveFocusToTheDesk();
keepOwnHistory();
addMessages(screens);
followAddress();
addEventListener("message", onMessage);
effect(() => {
  const step = /\/step\/([^/]+)/.exec(path.value)?.[1];
  parent.postMessage({ follow: "at", step: step ? decodeURIComponent(step) : null }, location.origin);
});
parent.postMessage({ follow: "ready" }, location.origin);
const root = document.getElementById("app");
if (root) render(<Walk />, root);
