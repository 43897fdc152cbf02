/** The torque sheet: every figure the job asks for, in the order of its steps, in both units, with the stages that lead to it. */
import { FigureShown, FigureUnknown } from "../../components/figure-shown";
import { BackPress, Leads, Page } from "../../components/page";
import type { Step } from "../../store/bench";
import { jointStateInWords, torqueWords as words, treatmentInWords } from "../../text/job-words";
import { JobGate } from "./job-gate";
import { useJob, type JobView } from "./job-view";
import { nameIn, tightenedTo, type TightenedTo } from "./names";
import { pathOf } from "./step-way";

export function TorqueScreen({ job }: { job: string }) {
  return <JobGate loaded={useJob(job)}>{(view) => <Torques view={view} />}</JobGate>;
}

type At = { step: Step; at: number; asked: TightenedTo };

/** Steps that tighten the same joint to the same figure, one after the other, are one row with its stages. */
export function torqueRows(view: JobView): At[][] {
  const rows: At[][] = [];
  view.steps.forEach((step, at) => {
    const asked = tightenedTo(view.pack, step);
    if (!asked) return;
    const last = rows.at(-1)?.[0]?.asked;
    const goesOn = last && asked.stage && last.stage && last.joint === asked.joint && last.figure?.id === asked.figure?.id;
    if (goesOn) rows.at(-1)?.push({ step, at, asked });
    else rows.push([{ step, at, asked }]);
  });
  return rows;
}

function Torques({ view }: { view: JobView }) {
  const rows = torqueRows(view);
  return (
    <Page title={words.title} sub={view.pack.title}>
      {rows.length === 0 && <p class="card">{words.none}</p>}
      {rows.map((row) => (
        <TorqueRow key={row[0]?.step.id} view={view} row={row} />
      ))}
      <BackPress otherwise={`/job/${view.job}`} />
    </Page>
  );
}

function TorqueRow({ view, row }: { view: JobView; row: At[] }) {
  const first = row[0]!;
  const goal = row.find(({ step }) => !view.fold.done[step.id]) ?? first;
  const stages = row.flatMap(({ at, asked }) => (asked.stage && asked.stage.of > 1 ? [words.stage(at + 1, asked.stage)] : []));
  const { figure, known, name } = first.asked;
  return (
    <section class="card">
      <Leads to={pathOf(view.job, goal.step.id)} name={name}>
        <span class="row-line small soft">{[words.step(row.map(({ at }) => at + 1)), ...aboutJoint(view, first)].join(", ")}</span>
      </Leads>
      {known ? <FigureShown figure={figure} name={name} small /> : <FigureUnknown name={name} />}
      {stages.length > 0 && <p>{stages.join("; ")}</p>}
    </section>
  );
}

function aboutJoint(view: JobView, { asked }: At): string[] {
  const joint = asked.joint === null ? undefined : view.pack.joints[asked.joint];
  if (!joint) return [];
  const state = view.rows.find((row) => row.joint === asked.joint)?.state;
  const treatment = treatmentInWords(joint.treatment, joint.treatment.supply && nameIn(view.pack, joint.treatment.supply));
  return [joint.thread, treatment, state && jointStateInWords(state)].filter((part): part is string => Boolean(part));
}
