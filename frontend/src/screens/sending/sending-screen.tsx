/** What waits to be sent, where everything stands, and how the phone keeps it. */
import { useSignal } from "@preact/signals";
import { Problem, useAttempt } from "../../components/attempt";
import { InstallHint } from "../../components/install";
import { useNowMs } from "../../components/hooks";
import { Leads, Page } from "../../components/page";
import { say } from "../../components/said";
import {
  askToPersist,
  connection,
  enrolment,
  eraseAtDealer,
  exportJob,
  jobs,
  library,
  outbox,
  storage,
  syncSoon,
  type JobSummary,
} from "../../store/bench";
import { storageInWords } from "../../text/bench-words";
import { bytesInWords, stateInWords } from "../../text/say";
import { connectionInWords, outboxInWords, sendingWords as words, STATES } from "../../text/sending-words";
import { AttentionList } from "./attention-list";
import { itemCounts } from "./item-counts";
import { saveFile } from "./save-file";

export function SendingScreen() {
  useNowMs(outbox.value.sending !== null);
  return (
    <Page title={words.title} sub={connectionInWords(connection.value, outbox.value.lastSent)}>
      <Waiting />
      <AttentionList />
      <States />
      <Joined />
      <Storage />
      <InstallHint />
      <Files />
    </Page>
  );
}

function Waiting() {
  const { bytes, sending, problem } = outbox.value;
  return (
    <section class="card hung">
      <p class="big" role="status">
        {outboxInWords(outbox.value)}
        {bytes > 0 && ` (${bytesInWords(bytes)})`}
      </p>
      {sending && (
        <svg class="bar-amount" viewBox="0 0 100 10" preserveAspectRatio="none" aria-hidden="true">
          <rect width={sending.total > 0 ? (100 * sending.done) / sending.total : 0} height="10" />
        </svg>
      )}
      <Problem message={problem} />
      <button type="button" class="press main" onClick={() => syncSoon("button")}>
        {words.now}
      </button>
    </section>
  );
}

function States() {
  const counts = itemCounts();
  return (
    <section class="card">
      <h2>{words.states}</h2>
      <dl class="facts">
        {STATES.map((state) => (
          <div key={state}>
            <dt>{stateInWords[state]}</dt>
            <dd>{inWords(counts[state])}</dd>
          </div>
        ))}
      </dl>
    </section>
  );
}

function inWords({ entries, photos }: { entries: number; photos: number }): string {
  return [entries > 0 ? words.entries(entries) : "", photos > 0 ? words.photos(photos) : ""].filter(Boolean).join(", ") || words.none;
}

/** The dealer's name; its short one where the list of dealers is not on this phone. */
export function dealerName(slug: string): string {
  const { dealer, choices } = library.value;
  return [dealer, ...choices].find((each) => each?.slug === slug)?.name ?? slug;
}

function Joined() {
  const joined = enrolment.value;
  const name = dealerName(joined?.dealer ?? "");
  return (
    <section class="card">
      <p>{joined ? (joined.revoked ? words.revoked(name) : words.joined(name, joined)) : words.notJoined}</p>
      {(!joined || joined.revoked) && <Leads to="/enrol" name={words.join} />}
    </section>
  );
}

function Storage() {
  const { persisted, reserve, problem } = storage.value;
  const attempt = useAttempt();
  const ask = async () => {
    if (!(await askToPersist())) say(words.persistNo);
  };
  return (
    <section class="card">
      <h2>{words.storage}</h2>
      <p>{storageInWords(storage.value)}</p>
      {reserve === "spent" && <p>{words.reserveSpent}</p>}
      <Problem message={problem ?? attempt.problem.value} />
      {persisted === false && (
        <button type="button" class="press" disabled={attempt.busy.value} onClick={() => attempt.run(ask)}>
          {words.persist}
        </button>
      )}
    </section>
  );
}

function Files() {
  if (jobs.value.length === 0) return null;
  return (
    <section class="card">
      <h2>{words.jobs}</h2>
      <p>{words.jobsWhy}</p>
      <ul class="rows">
        {jobs.value.map((job) => (
          <li key={job.job}>
            <FileOf job={job} />
          </li>
        ))}
      </ul>
    </section>
  );
}

/** Having what was sent of a job deleted at the dealer's; asked twice, the second press in another place. */
function EraseThere({ job }: { job: JobSummary }) {
  const attempt = useAttempt();
  const asked = useSignal(false);
  if (!enrolment.value || enrolment.value.revoked) return null;
  const erase = async () => {
    const gone = await attempt.run(async () => {
      const { events, photos } = await eraseAtDealer(job.job);
      say(words.erased(events, photos));
    });
    if (gone) asked.value = false;
  };
  if (!asked.value) {
    return (
      <button type="button" class="press" onClick={() => (asked.value = true)}>
        {words.erase}
      </button>
    );
  }
  return (
    <div class="stack">
      <p>{words.eraseAsk}</p>
      <Problem message={attempt.problem.value} />
      <button type="button" class="press main" onClick={() => (asked.value = false)}>
        {words.eraseNo}
      </button>
      <button type="button" class="press" disabled={attempt.busy.value} onClick={erase}>
        {words.eraseYes}
      </button>
    </div>
  );
}

function FileOf({ job }: { job: JobSummary }) {
  const attempt = useAttempt();
  const make = async () => {
    saveFile(await exportJob(job.job), `${job.procedure}-${job.job.slice(0, 8)}.benchtrail-job.json`);
    say(words.made);
  };
  return (
    <>
      <p>
        {job.title}
        {job.machine && `, ${job.machine.name}`}
      </p>
      <Problem message={attempt.problem.value} />
      <button type="button" class="press" disabled={attempt.busy.value} onClick={() => attempt.run(make)}>
        {attempt.busy.value ? words.making : words.file}
      </button>
      <EraseThere job={job} />
    </>
  );
}
