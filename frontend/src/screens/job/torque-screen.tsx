/** The torque sheet: every figure the job asks for, in the order of its steps, in both units. */
import { FigureShown, FigureUnknown } from "../../components/figure-shown";
import { BackPress, Leads, Page } from "../../components/page";
import { jointStateInWords, torqueWords as words, treatmentInWords } from "../../text/job-words";
import { JobGate } from "./job-gate";
import { useJob, type JobView } from "./job-view";
import { jointOf, nameIn, tightenedTo } from "./names";
import { pathOf } from "./step-way";

export function TorqueScreen({ job }: { job: string }) {
  return <JobGate loaded={useJob(job)}>{(view) => <Torques view={view} />}</JobGate>;
}

function Torques({ view }: { view: JobView }) {
  const rows = view.steps.flatMap((step, at) => {
    const asked = tightenedTo(view.pack, step);
    return asked ? [{ step, at, asked }] : [];
  });
  return (
    <Page title={words.title} sub={view.pack.title}>
      {rows.length === 0 && <p class="card">{words.none}</p>}
      {rows.map(({ step, at, asked }) => (
        <section key={step.id} class="card">
          <Leads to={pathOf(view.job, step.id)} name={`${words.step(at + 1)}: ${asked.name}`}>
            <span class="row-line small soft">{aboutJoint(view, step.id)}</span>
          </Leads>
          {asked.known ? <FigureShown figure={asked.figure} name={asked.name} stage={asked.stage} small /> : <FigureUnknown name={asked.name} />}
        </section>
      ))}
      <BackPress otherwise={`/job/${view.job}`} />
    </Page>
  );
}

function aboutJoint(view: JobView, id: string): string {
  const action = view.steps.find((step) => step.id === id)?.do.find(({ verb }) => verb === "tighten");
  const joint = action && jointOf(view.pack, action);
  if (!action || !joint) return "";
  const state = view.rows.find((row) => row.joint === action.object)?.state;
  const treatment = treatmentInWords(joint.treatment, joint.treatment.supply && nameIn(view.pack, joint.treatment.supply));
  return [joint.thread, treatment, state && jointStateInWords(state)].filter(Boolean).join(", ");
}
