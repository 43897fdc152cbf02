// What the jobs of a procedure say of its steps: usual times with what is not known about them, and the steps to look at.
import "../styles/desk-returns.css";
import { call } from "./api";
import { counted, Link, Loaded } from "./parts";
import { asideInWords, happenedInWords, HOW_TIME_IS_TAKEN, type Labour, labourInWords, lookInWords, type StepRow, tenthsInWords, timeInWords } from "./steps-words";

type Statistics = { procedure: string; title: string; revision: number; jobs: number; finished: number; labour: Labour; steps: StepRow[] };

export function StepsSheet({ procedure }: { procedure: string }) {
  const at = `/desk/procedures/${encodeURIComponent(procedure)}`;
  return (
    <main class="sheet">
      <p>
        <Link to="/desk/library">Library</Link>
      </p>
      <Loaded of={procedure} load={() => call<Statistics>("GET", `${at}/steps`)}>
        {(found) => (
          <>
            <h1>{found.title}: what its jobs say</h1>
            <p>
              {counted(found.jobs, "job")} of every revision, {found.finished} of them finished; the steps are those of revision {found.revision}.{" "}
              <a href={`/api/v1${at}/steps.csv`}>This table as CSV</a>
            </p>
            <section class="card">
              <h2>Usual time</h2>
              {labourInWords(found.labour).map((line) => (
                <p key={line}>{line}</p>
              ))}
            </section>
            <ToLookAt steps={found.steps} jobs={found.jobs} />
            <StepTable steps={found.steps} />
            <details class="card">
              <summary>How time is taken, and what it cannot say</summary>
              <p>{HOW_TIME_IS_TAKEN}</p>
            </details>
          </>
        )}
      </Loaded>
    </main>
  );
}

function ToLookAt({ steps, jobs }: { steps: StepRow[]; jobs: number }) {
  const stuck = ({ look }: StepRow) => Number(look.includes("trouble"));
  const look = steps.filter((step) => step.look.length > 0).sort((a, b) => stuck(b) - stuck(a));
  if (look.length === 0) return <p class="card">{jobs < 5 ? "Too few jobs to point at a step." : "No step stands out from the others."}</p>;
  return (
    <section class="card look">
      <h2>Steps to rewrite first</h2>
      <ul>
        {look.map((step) => (
          <li key={step.step}>
            <b>
              {step.number}. {step.say}
            </b>{" "}
            {lookInWords(step).join(" ")}
          </li>
        ))}
      </ul>
    </section>
  );
}

function StepTable({ steps }: { steps: StepRow[] }) {
  return (
    <div class="scroll" tabIndex={0} role="region" aria-label="Steps, their times and what happened there">
      <table class="steps-table">
        <thead>
          <tr>
            <th>Step</th>
            <th>Middle time (range)</th>
            <th>Written</th>
            <th>Jobs</th>
            <th>What happened there</th>
          </tr>
        </thead>
        <tbody>
          {steps.map((step) => (
            <tr key={step.step} class={step.look.length ? "look-word" : ""}>
              <th scope="row">
                {step.number}. {step.say}
              </th>
              <td>
                {timeInWords(step.times)}
                <span class="quiet beneath">{[tenthsInWords(step.times), asideInWords(step.times)].filter(Boolean).join(" ")}</span>
              </td>
              <td>{step.minutes === null ? "no time" : `${step.minutes} min`}</td>
              <td>{step.jobs}</td>
              <td>{happenedInWords(step).join(", ")}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
