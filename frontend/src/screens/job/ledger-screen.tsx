/** Tray and ledger: what is off, which joints were touched and how far each is, fluids, aids, how the machine stands. */
import { figureText } from "../../components/figure-shown";
import { BackPress, Page } from "../../components/page";
import { TrayDrawing } from "../../drawings/tray-drawing";
import { jointStateInWords, ledgerWords as words } from "../../text/job-words";
import { Beside } from "../beside/door";
import { JobGate } from "./job-gate";
import { useJob, type JobView } from "./job-view";
import { nameIn } from "./names";
import { fastenersOf, partsOf } from "./tray-of";

export function LedgerScreen({ job }: { job: string }) {
  return <JobGate loaded={useJob(job)}>{(view) => <Ledger view={view} />}</JobGate>;
}

function Ledger({ view }: { view: JobView }) {
  return (
    <Page title={words.title} sub={view.pack.title}>
      <section class="card hung">
        <h2>{words.tray}</h2>
        <TrayDrawing parts={partsOf(view)} fasteners={fastenersOf(view)} />
      </section>
      <Beside show={({ ComesOff }) => <ComesOff pack={view.pack} state={view.state} />} meanwhile={null} />
      <section class="card">
        <h2>{words.joints}</h2>
        {view.rows.length === 0 && <p>{words.allFinal}</p>}
        <ul class="rows">
          {view.rows.map((row) => (
            <li key={row.joint} class="ledger-row">
              <JointMark state={row.state} />
              <span>
                <strong>{row.name}</strong>
                <span class="row-line">
                  {jointStateInWords(row.state)}, {words.fasteners(row.count)}
                  {row.figure !== null && `, ${figureText(view.pack.figures[row.figure]) ?? ""}`}
                </span>
              </span>
            </li>
          ))}
        </ul>
      </section>
      <Standing view={view} />
      <p class="small soft">{words.sidesNote}</p>
      <BackPress otherwise={`/job/${view.job}`} />
    </Page>
  );
}

/** The state as a shape beside its word: open ring, half, whole. */
function JointMark({ state }: { state: string }) {
  const fill =
    {
      undone: "",
      started: "M12 20a8 8 0 0 0 8-8h-8z",
      slack: "M4 12a8 8 0 0 0 16 0z",
      staged: "M4 12a8 8 0 1 0 8-8v8z",
      final: "M12 4a8 8 0 1 0 .01 0z",
    }[state] ?? "";
  return (
    <svg class="joint-mark" viewBox="0 0 24 24" aria-hidden="true" focusable="false">
      <path d="M12 4a8 8 0 1 0 .01 0z" class="ring" />
      <path d={fill} />
    </svg>
  );
}

function Standing({ view }: { view: JobView }) {
  const { state, pack } = view;
  const lines = [
    ...Object.entries(state.fluids).map(([id, how]) => `${nameIn(pack, id)}: ${how === "drained" ? words.drained : words.filled}`),
    ...state.aids.map((id) => words.aids(nameIn(pack, id))),
    ...Object.values(state.poses).map((id) => nameIn(pack, id)),
    ...Object.entries(state.settings).map(([id, value]) => words.setTo(nameIn(pack, id), value)),
  ];
  if (lines.length === 0) return null;
  return (
    <section class="card">
      <h2>{words.machine}</h2>
      <ul class="rows">
        {lines.map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ul>
    </section>
  );
}
