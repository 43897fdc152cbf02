// Everything that is being written, and the ways to begin: an empty form, a published revision, a file.
import { useSignal } from "@preact/signals";
import { call } from "../api";
import { Link, Loaded, useSending, when, Words } from "../parts";
import { mayWrite } from "../state";
import { BeginProcedure } from "./begin-procedure";
import { freeId } from "./things";
import { useBegin } from "./use-begin";
import type { Workfile } from "./types";

export type Entry = { id: string; kind: "procedure" | "model"; title: string; model: string | null };
export type All = { workfiles: Workfile[]; published: Entry[] };

const loadAll = async (): Promise<All> => {
  const [{ workfiles }, { procedures }] = await Promise.all([
    call<{ workfiles: Workfile[] }>("GET", "/desk/workfiles"),
    call<{ procedures: Entry[] }>("GET", "/desk/library"),
  ]);
  return { workfiles, published: procedures };
};

export function WritingSheet() {
  return (
    <main class="sheet">
      <h1>Writing</h1>
      <Loaded of="writing" load={loadAll}>
        {(all, again) => (
          <>
            <Rows files={all.workfiles.filter((one) => !one.put_away)} again={again} />
            {mayWrite() && (
              <div class="begin-two">
                <BeginMap />
                <BeginProcedure all={all} />
                <BeginPublished all={all} />
                <BeginFile />
              </div>
            )}
            <PutAway files={all.workfiles.filter((one) => one.put_away)} again={again} />
          </>
        )}
      </Loaded>
    </main>
  );
}

function Rows({ files, again }: { files: Workfile[]; again: () => void }) {
  const { busy, problem, send } = useSending();
  const away = (file: Workfile, put: boolean) =>
    void send(async () => {
      await call("POST", `/desk/workfiles/${file.id}/put-away`, { away: put });
      again();
    });
  if (files.length === 0) return <p>Nothing is in writing. Begin below: first the map of a machine, then procedures on it.</p>;
  return (
    <>
      {problem.value && <Words message={problem.value} />}
      <ul class="entries">
        {files.map((file) => (
          <li key={file.id} class="card writing-row">
            <div>
              <h2>
                <Link to={`/desk/writing/${file.id}`}>{file.title}</Link>
              </h2>
              <p class="quiet breakable">
                {file.kind === "map" ? "Map" : file.model ? `Procedure on ${file.model}` : "Procedure for any machine"} · {file.path}
              </p>
              <p class="quiet">
                Version {file.version}, saved {when(file.saved_at)} by {file.saved_by}
              </p>
            </div>
            {mayWrite() && (
              <button disabled={busy.value} onClick={() => away(file, !file.put_away)}>
                {file.put_away ? "Put back on the list" : "Put away"}
              </button>
            )}
          </li>
        ))}
      </ul>
    </>
  );
}

function PutAway({ files, again }: { files: Workfile[]; again: () => void }) {
  if (files.length === 0) return null;
  return (
    <details>
      <summary>Put away ({files.length})</summary>
      <Rows files={files} again={again} />
    </details>
  );
}

function BeginMap() {
  const name = useSignal("");
  const { busy, problem, begin } = useBegin();
  const submit = (event: Event) => {
    event.preventDefault();
    begin({ kind: "map", id: freeId(name.value, new Set(), "-"), title: name.value.trim() });
  };
  return (
    <form class="card" onSubmit={submit}>
      <h2>A machine’s map</h2>
      <label>
        Name of the model
        <input required maxLength={300} value={name.value} onInput={(e) => (name.value = e.currentTarget.value)} />
      </label>
      <button class="press" disabled={busy.value || !name.value.trim()}>
        Begin the map
      </button>
      {problem.value && <Words message={problem.value} />}
    </form>
  );
}

function BeginPublished({ all }: { all: All }) {
  const chosen = useSignal("");
  const { busy, problem, begin } = useBegin();
  const entry = all.published.find((one) => `${one.kind} ${one.id}` === chosen.value);
  const start = () => entry && begin({ kind: entry.kind === "model" ? "map" : "procedure", id: entry.id, model: entry.kind === "model" ? null : entry.model, published: true });
  if (all.published.length === 0) return null;
  return (
    <section class="card">
      <h2>The next revision of something published</h2>
      <label>
        Which
        <select value={chosen.value} onChange={(e) => (chosen.value = e.currentTarget.value)}>
          <option value="">Choose …</option>
          {all.published.map((one) => (
            <option key={`${one.kind} ${one.id}`} value={`${one.kind} ${one.id}`}>
              {one.title}
              {one.kind === "model" ? " (map)" : ""}
            </option>
          ))}
        </select>
      </label>
      <button class="press" disabled={busy.value || !entry} onClick={start}>
        Open its text
      </button>
      {problem.value && <Words message={problem.value} />}
    </section>
  );
}

function BeginFile() {
  const { busy, problem, begin } = useBegin();
  const read = async (file: File | undefined) => {
    if (!file) return;
    const text = await file.text();
    const said = (key: string) => new RegExp(`^${key}:[ \\t]*["']?([\\w-]+)`, "m").exec(text)?.[1] ?? null;
    const procedure = said("procedure");
    const id = procedure ?? said("model") ?? file.name.replace(/\.ya?ml$/, "");
    begin({ kind: procedure ? "procedure" : "map", id, model: procedure ? said("model") : null, text });
  };
  return (
    <section class="card">
      <h2>A file from your own folder</h2>
      <label class="file">
        A map or procedure (.yaml)
        <input type="file" accept=".yaml,.yml" disabled={busy.value} onChange={(e) => void read(e.currentTarget.files?.[0])} />
      </label>
      {problem.value && <Words message={problem.value} />}
    </section>
  );
}
