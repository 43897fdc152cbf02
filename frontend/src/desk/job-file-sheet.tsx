// Taking a job in from a file, and what came of it.
import { useSignal } from "@preact/signals";
import { sendFile } from "./api";
import { fileWords as words, type TakenIn, takenInWords } from "./job-file-words";
import { Link, useSending, Words } from "./parts";
import { mayWrite } from "./state";

function Came({ name, found }: { name: string; found: TakenIn }) {
  return (
    <section class={found.quarantined || found.photos_missing || !found.pack_known ? "card look" : "card"}>
      <h2>{words.done(name)}</h2>
      <ul>
        {takenInWords(found).map((told) => (
          <li key={told}>{told}</li>
        ))}
      </ul>
      <p>
        <Link to={`/desk/jobs/${encodeURIComponent(found.job)}`}>{words.open}</Link>
        {found.quarantined > 0 && (
          <>
            {" · "}
            <Link to="/desk/apart">{words.apart}</Link>
          </>
        )}
      </p>
    </section>
  );
}

function TakeIn() {
  const file = useSignal<File | null>(null);
  const came = useSignal<{ name: string; found: TakenIn } | null>(null);
  const { busy, problem, send } = useSending();
  const submit = (event: Event) => {
    event.preventDefault();
    const chosen = file.value;
    if (!chosen) return;
    came.value = null;
    void send(async () => {
      came.value = { name: chosen.name, found: await sendFile<TakenIn>("/desk/job-files", chosen) };
    });
  };
  return (
    <>
      <form class="card" onSubmit={submit}>
        <label class="file">
          {words.file}
          <input type="file" required accept=".json,application/json" onChange={(e) => (file.value = e.currentTarget.files?.[0] ?? null)} />
        </label>
        <button class="press" disabled={busy.value}>
          {words.act}
        </button>
      </form>
      <div aria-live="polite">
        {busy.value && <p class="quiet">{words.reading}</p>}
        {came.value && <Came {...came.value} />}
      </div>
      {problem.value && <Words message={problem.value} />}
    </>
  );
}

export function JobFileSheet() {
  return (
    <main class="sheet">
      <p>
        <Link to="/desk">All jobs</Link>
      </p>
      <h1>{words.title}</h1>
      <p>{words.about}</p>
      {mayWrite() ? <TakeIn /> : <p class="quiet">{words.onlyAuthors}</p>}
    </main>
  );
}
