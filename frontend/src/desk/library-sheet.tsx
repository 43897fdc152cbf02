// What is published, with every revision; and publishing a new revision from files.
import { useSignal } from "@preact/signals";
import { call, type Message, Problem } from "./api";
import { Code, counted, Link, Loaded, PaperLinks, useSending, when, Words } from "./parts";
import { go, mayWrite, session } from "./state";

type Revision = { revision: number; sha256: string; issued: string; published_at: string; change_note: string; current: boolean; reviewed_by: string | null; own_review: string | null; withdrawn: { by: string; at: string; reason: string } | null };
type Entry = { id: string; kind: "procedure" | "model"; title: string; model: string | null; safety: string[]; revisions: Revision[] };
export type Finding = {
  file: string;
  line: number;
  severity: string;
  check: string;
  code: string;
  step: string | null;
  variants: string | null;
  reason?: string | null;
  message: Message;
};
type Published = { id: string; kind: string; revision: number; sha256: string };
type Answer = { findings: Finding[]; published: Published[]; language?: Record<string, boolean> };

const ORDER = ["block", "error", "warning", "note"];

export function Findings({ findings }: { findings: Finding[] }) {
  if (findings.length === 0) return <p>No findings.</p>;
  const counts = ORDER.map((word) => [word, findings.filter((f) => f.severity === word).length] as const).filter(([, n]) => n > 0);
  return (
    <>
      <p>
        <strong>{counts.map(([word, n]) => counted(n, word)).join(", ")}</strong>
      </p>
      <ol class="findings">
        {findings.map((finding, index) => (
          <li key={index} class={`finding ${finding.severity}`}>
            <p class="finding-place">
              {finding.file}:{finding.line} <b>{finding.severity}</b> {finding.check}
              {finding.step ? `, step ${finding.step}` : ""}
              {finding.variants ? `, ${finding.variants}` : ""}
            </p>
            <p>{finding.message.happened}</p>
            <p>{finding.message.means}</p>
            <p>{finding.message.do}</p>
            {finding.severity === "warning" && (
              <p>{finding.reason ? `Let stand, because: ${finding.reason}` : "Needs a reason in “accepted:” before it can be published."}</p>
            )}
          </li>
        ))}
      </ol>
    </>
  );
}

const readFiles = (list: File[]) => Promise.all(list.map(async (file) => ({ path: file.name, text: await file.text() })));

function Publish({ again }: { again: () => void }) {
  const files = useSignal<File[]>([]);
  const note = useSignal("");
  const answer = useSignal<Answer | null>(null);
  const { busy, problem, send } = useSending();
  const ask = (what: "check" | "publish") =>
    void send(async () => {
      answer.value = null;
      const body = { files: await readFiles(files.value), ...(what === "publish" ? { change_note: note.value } : {}) };
      try {
        answer.value = await call<Answer>("POST", `/desk/library/${what}`, body);
        if (what === "publish") again();
      } catch (error) {
        const findings = error instanceof Problem ? (error.values["findings"] as Finding[] | undefined) : undefined;
        if (findings) answer.value = { findings, published: [] };
        throw error;
      }
    });
  const propose = () =>
    void send(async () => {
      answer.value = null;
      try {
        const made = await call<{ id: string }>("POST", "/desk/proposals", { files: await readFiles(files.value), change_note: note.value });
        go(`/desk/review/${made.id}`);
      } catch (error) {
        const findings = error instanceof Problem ? (error.values["findings"] as Finding[] | undefined) : undefined;
        if (findings) answer.value = { findings, published: [] };
        throw error;
      }
    });
  return (
    <section class="card">
      <h2>Publish a revision</h2>
      <p>Choose the changed procedure, its map too if that changed. It is checked in every variant; what has errors is refused.</p>
      <label class="file">
        Files (.yaml)
        <input type="file" multiple accept=".yaml,.yml" onChange={(e) => (files.value = [...(e.currentTarget.files ?? [])])} />
      </label>
      <label>
        What changed, in a sentence
        <input maxLength={300} value={note.value} onInput={(e) => (note.value = e.currentTarget.value)} />
      </label>
      <div class="in-line">
        <button disabled={busy.value || files.value.length === 0} onClick={() => ask("check")}>
          Check only
        </button>
        <button class="press" disabled={busy.value || files.value.length === 0 || !note.value.trim()} onClick={propose}>
          Send for review
        </button>
        <button disabled={busy.value || files.value.length === 0 || !note.value.trim()} onClick={() => ask("publish")}>
          {busy.value ? "Working …" : "Check and publish"}
        </button>
      </div>
      <p class="quiet">Published at once, the revision says that nobody but its writer looked at it.</p>
      {problem.value && <Words message={problem.value} />}
      {answer.value && (
        <div aria-live="polite">
          {answer.value.published.map((pack) => (
            <p class="published" key={pack.sha256}>
              Published: {pack.id}, revision {pack.revision}. Phones see it at their next contact.
            </p>
          ))}
          {Object.entries(answer.value.language ?? {}).map(([file, passes]) => (
            <p key={file}>
              {file}: controlled language {passes ? "passes" : "fails (S8)"}
            </p>
          ))}
          <Findings findings={answer.value.findings} />
        </div>
      )}
    </section>
  );
}

function CustomerLink({ procedure }: { procedure: string }) {
  const made = useSignal<{ link: string; qr_svg: string } | null>(null);
  const { busy, problem, send } = useSending();
  const make = () => void send(async () => void (made.value = await call("POST", "/desk/links", { procedure })));
  return (
    <>
      {!made.value && (
        <button disabled={busy.value} onClick={make}>
          Link for a customer
        </button>
      )}
      {problem.value && <Words message={problem.value} />}
      {made.value && (
        <div class="code-card">
          <Code svg={made.value.qr_svg} label={`QR code that leads to the procedure: ${made.value.link}`} />
          <p class="breakable">{made.value.link}</p>
        </div>
      )}
    </>
  );
}

function Withdraw({ procedure, again }: { procedure: string; again: () => void }) {
  const asked = useSignal(false);
  const reason = useSignal("");
  const { busy, problem, send } = useSending();
  const submit = (event: Event) => {
    event.preventDefault();
    void send(async () => {
      await call("POST", "/desk/library/withdraw", { procedure, reason: reason.value });
      again();
    });
  };
  if (!asked.value) return <button onClick={() => (asked.value = true)}>Withdraw …</button>;
  return (
    <form class="in-line" onSubmit={submit}>
      <label>
        Why nobody should begin it any more (its revisions stay)
        <input required minLength={10} maxLength={500} value={reason.value} onInput={(e) => (reason.value = e.currentTarget.value)} />
      </label>
      <button class="danger" disabled={busy.value}>
        Withdraw it
      </button>
      <button type="button" onClick={() => (asked.value = false)}>
        Leave it
      </button>
      {problem.value && <Words message={problem.value} />}
    </form>
  );
}

function EntryCard({ entry, again }: { entry: Entry; again: () => void }) {
  return (
    <li class="card">
      <h2>{entry.title}</h2>
      <p class="quiet">
        {entry.kind === "model" ? "Map" : entry.model ? `For ${entry.model}` : "For any machine"}
        {entry.safety.filter((word) => word !== "normal").map((word) => ` · ${word}`)}
      </p>
      <ul class="revisions">
        {entry.revisions.map((one) => (
          <li key={one.sha256}>
            <b>Revision {one.revision}</b>
            {one.current ? " (current)" : ""}, issued {one.issued}, published {when(one.published_at)}. {one.change_note}
            {one.reviewed_by && (one.own_review ? ` Reviewed by its writer, ${one.reviewed_by}, alone: ${one.own_review}` : ` Reviewed by ${one.reviewed_by}.`)}
            {one.withdrawn && <b> Withdrawn {when(one.withdrawn.at)}: {one.withdrawn.reason}</b>}
            <span class="quiet breakable"> {one.sha256.slice(0, 16)}</span>
          </li>
        ))}
      </ul>
      {entry.kind === "procedure" && (
        <p>
          <Link to={`/desk/library/${encodeURIComponent(entry.id)}`}>What its jobs say of its steps</Link>
        </p>
      )}
      {mayWrite() && entry.kind === "procedure" && entry.revisions.some((one) => one.current) && (
        <>
          <PaperLinks at={`/api/v1/desk/paper/procedures/${encodeURIComponent(entry.id)}`} words="Bench sheet" />
          <p>
            <a href={`/how-to/${session.value?.dealer.slug ?? ""}/${encodeURIComponent(entry.id)}`} target="_blank" rel="noreferrer">
              Plain page
            </a>{" "}
            for search engines, and to show in a frame on your own site
          </p>
          <CustomerLink procedure={entry.id} />
          <Withdraw procedure={entry.id} again={again} />
        </>
      )}
    </li>
  );
}

export function LibrarySheet() {
  return (
    <main class="sheet">
      <h1>Library</h1>
      <Loaded of="library" load={() => call<{ procedures: Entry[] }>("GET", "/desk/library")}>
        {({ procedures }, again) => (
          <>
            {mayWrite() && <Publish again={again} />}
            {procedures.length === 0 && (
              <p>
                Nothing is published yet. Choose the files above, or use the command line. <Link to="/desk">See the jobs</Link>.
              </p>
            )}
            <ul class="entries">
              {procedures.map((entry) => (
                <EntryCard key={`${entry.kind} ${entry.id}`} entry={entry} again={again} />
              ))}
            </ul>
          </>
        )}
      </Loaded>
    </main>
  );
}
