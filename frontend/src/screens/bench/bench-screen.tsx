/** The bench: open jobs first, then my machines, what waits, and how the phone keeps it. */
import { Problem, useAttempt } from "../../components/attempt";
import { InstallHint } from "../../components/install";
import { Leads, Page } from "../../components/page";
import { applyUpdate, jobs, library, machines, outbox, storage, update } from "../../store/bench";
import { benchWords as words, firstWords, storageInWords } from "../../text/bench-words";
import { NumbersLead } from "../numbers/leads";
import { closeWords } from "../../text/close-words";
import { whenInWords } from "../../text/say";
import { outboxInWords } from "../../text/sending-words";
import { answerWords, newsWords } from "../../text/job-words";
import { AnswerLead } from "../job/answer-lead";
import { NewsLead } from "../job/news-lead";
import { MachineCard } from "./machine-card";
import { OpenJobCard } from "./open-job-card";

export function BenchScreen() {
  const open = jobs.value.filter((job) => !job.closed);
  const first = machines.value.length === 0 && jobs.value.length === 0;
  const dealer = library.value.dealer;
  return (
    <Page
      title={first ? firstWords.title : words.title}
      sub={dealer?.invented ? words.invented(dealer.name) : dealer?.name}
      act={first && <FirstActs />}
    >
      <NewVersion />
      {first && <FirstRun />}
      {open.length > 0 && <h2>{words.openJobs}</h2>}
      {open.map((job) => (
        <OpenJobCard key={job.job} job={job} />
      ))}
      <ClosedAndChanged />
      {!first && <Machines />}
      <NumbersLead />
      {!first && <Kept />}
      <ClosedJobs />
      {!first && <InstallHint />}
    </Page>
  );
}

function FirstRun() {
  return (
    <>
      <section class="card hung">
        <p>{firstWords.is}</p>
        <ul class="rows">
          {firstWords.isNot.map((line) => (
            <li key={line}>{line}</li>
          ))}
        </ul>
      </section>
      <Problem message={library.value.problem ?? storage.value.problem} />
      <InstallHint />
    </>
  );
}

function FirstActs() {
  return (
    <>
      <a class="press" href="/library">
        {firstWords.see}
      </a>
      <a class="press main grow" href="/machine/new">
        {words.add}
      </a>
    </>
  );
}

function Machines() {
  return (
    <>
      <h2>{words.machines}</h2>
      {machines.value.length === 0 && <p>{words.noMachines}</p>}
      {machines.value.map((machine) => (
        <MachineCard key={machine.id} machine={machine} />
      ))}
      <a class="press" href="/machine/new">
        {words.add}
      </a>
    </>
  );
}

function Kept() {
  return (
    <section class="card">
      <Leads to="/sending" name={outboxInWords(outbox.value)}>
        <span class="row-line small soft">{storageInWords(storage.value)}</span>
      </Leads>
      <Problem message={outbox.value.problem ?? storage.value.problem} />
    </section>
  );
}

/** Closed jobs with an answer that is unread, or whose figures were replaced, until somebody has answered for each finished step. */
function ClosedAndChanged() {
  const changed = jobs.value.filter((job) => job.closed && (job.unread > 0 || (job.changed?.left ?? 0) > 0));
  return (
    <>
      {changed.map((job) => (
        <section class="card" key={job.job}>
          <h2>{job.unread > 0 ? answerWords.closed : newsWords.closed}</h2>
          <p>{[job.title, job.machine?.name, whenInWords(job.lastWall)].filter(Boolean).join(", ")}</p>
          <AnswerLead job={job} />
          <NewsLead job={job} />
        </section>
      ))}
    </>
  );
}

function ClosedJobs() {
  const closed = jobs.value.filter((job) => job.closed);
  if (closed.length === 0) return null;
  return (
    <section class="card">
      <h2>{words.closedJobs}</h2>
      <ul class="rows">
        {closed.map((job) => (
          <li key={job.job}>
            <Leads to={`/job/${job.job}/close`} name={job.title}>
              <span class="row-line small soft">
                {[job.machine?.name, job.closed && closeWords.outcomes[job.closed.outcome], whenInWords(job.lastWall)]
                  .filter(Boolean)
                  .join(", ")}
              </span>
            </Leads>
          </li>
        ))}
      </ul>
    </section>
  );
}

function NewVersion() {
  const attempt = useAttempt();
  const state = update.value;
  if (state === "none") return null;
  return (
    <section class="card">
      <p>{{ ready: words.updateReady, held_by_job: words.updateHeld, failed: words.updateFailed }[state]}</p>
      <Problem message={attempt.problem.value} />
      {state === "ready" && (
        <button type="button" class="press" disabled={attempt.busy.value} onClick={() => attempt.run(applyUpdate)}>
          {words.updateUse}
        </button>
      )}
    </section>
  );
}
