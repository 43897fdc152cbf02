/** Which screen answers which address. One line for each; a new first segment also goes into sw/app-paths.ts. */
import { createElement, type ComponentType } from "preact";
import { path } from "./components/where";
import { parametersOf } from "./routes-read";
import { BenchScreen } from "./screens/bench/bench-screen";
import { ChangesScreen } from "./screens/beside/changes-screen";
import { AboutScreen, EnrolScreen, JobLinkScreen, SettingsScreen } from "./screens/beside/rarely-screens";
import { CloseScreen } from "./screens/close/close-screen";
import { LedgerScreen } from "./screens/job/ledger-screen";
import { NotesScreen } from "./screens/job/notes-screen";
import { ResumeScreen } from "./screens/job/resume-screen";
import { StepScreen } from "./screens/job/step-screen";
import { TorqueScreen } from "./screens/job/torque-screen";
import { LibraryScreen } from "./screens/library/library-screen";
import { LostScreen } from "./screens/lost-screen";
import { MachineScreen } from "./screens/machine/machine-screen";
import { NumberScreen, NumbersScreen, ToolsScreen } from "./screens/numbers/door";
import { SendingScreen } from "./screens/sending/sending-screen";
import { StartScreen } from "./screens/start/start-screen";

// each screen names its own parameters; the pattern beside it is what provides them
type AnyScreen = ComponentType<Record<string, string>>;
const route = <P extends object>(pattern: string, screen: ComponentType<P>): [string, AnyScreen] => [
  pattern,
  screen as unknown as AnyScreen,
];

export const ROUTES: [string, AnyScreen][] = [
  route("/", BenchScreen),
  route("/machine/:id", MachineScreen),
  route("/library", LibraryScreen),
  route("/procedure/:sha", StartScreen),
  route("/procedure/:sha/for/:machine", StartScreen),
  route("/job-link", JobLinkScreen),
  route("/job/:job", ResumeScreen),
  route("/job/:job/step/:step", StepScreen),
  route("/job/:job/ledger", LedgerScreen),
  route("/job/:job/torques", TorqueScreen),
  route("/job/:job/notes", NotesScreen),
  route("/job/:job/changes", ChangesScreen),
  route("/job/:job/close", CloseScreen),
  route("/numbers", NumbersScreen),
  route("/numbers/:name", NumberScreen),
  route("/tools", ToolsScreen),
  route("/sending", SendingScreen),
  route("/enrol", EnrolScreen),
  route("/settings", SettingsScreen),
  route("/about", AboutScreen),
];

export function Screen() {
  for (const [pattern, screen] of ROUTES) {
    const parameters = parametersOf(pattern, path.value);
    if (parameters) return createElement(screen, { ...parameters, key: path.value });
  }
  return createElement(LostScreen, {});
}
