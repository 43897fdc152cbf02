// Entries that phones sent and that cannot count as they came: why, and what a person decides about each.
import { useSignal } from "@preact/signals";
import { call } from "./api";
import { apartWords as words } from "./apart-words";
import { KINDS } from "./entry-kinds";
import { Link, Loaded, useSending, when, Words } from "./parts";
import { mayWrite } from "./state";

type Entry = {
  device: string;
  label: string;
  sha256: string;
  job: string | null;
  kind: string | null;
  words: string;
  text: string;
  received_at: string;
  settled: string | null;
  settled_by: string | null;
  settled_at: string | null;
  settled_reason: string | null;
};
type How = "taken_up" | "dismissed";

function Decide({ entry, again }: { entry: Entry; again: () => void }) {
  const asked = useSignal<How | null>(null);
  const reason = useSignal("");
  const { busy, problem, send } = useSending();
  const settle = (event: Event) => {
    event.preventDefault();
    void send(async () => {
      await call("POST", `/desk/apart/${encodeURIComponent(entry.device)}/${entry.sha256}`, { how: asked.value, reason: reason.value });
      again();
    });
  };
  const dismissing = asked.value === "dismissed";
  if (asked.value === null)
    return (
      <p class="in-line">
        <button onClick={() => (asked.value = "taken_up")}>{words.take}</button>
        <button onClick={() => (asked.value = "dismissed")}>{words.dismiss}</button>
      </p>
    );
  return (
    <form onSubmit={settle}>
      <p>{dismissing ? words.dismissMeans : words.takeMeans}</p>
      <label>
        {dismissing ? words.reason : words.reasonMaybe}
        <input required={dismissing} maxLength={500} value={reason.value} onInput={(e) => (reason.value = e.currentTarget.value)} />
      </label>
      <p class="in-line">
        <button class={dismissing ? "danger" : "press"} disabled={busy.value}>
          {dismissing ? words.dismissNow : words.takeNow}
        </button>
        <button type="button" onClick={() => (asked.value = null)}>
          {words.leave}
        </button>
      </p>
      {problem.value && <Words message={problem.value} />}
    </form>
  );
}

/** What its writer typed, of an entry that can be read that far; else nothing. */
function typedIn(text: string): string {
  try {
    const body = ((JSON.parse(text) as { body?: unknown } | null)?.body ?? {}) as Record<string, unknown>;
    return ["as_typed", "text", "caption", "reason", "words"].flatMap((name) => (typeof body[name] === "string" && body[name] !== "" ? [body[name]] : [])).join(": ");
  } catch (error) {
    if (error instanceof SyntaxError) return "";
    throw error;
  }
}

function EntryCard({ entry, again }: { entry: Entry; again: () => void }) {
  const typed = typedIn(entry.text);
  return (
    <li class={entry.settled ? "card" : "card look"}>
      <h2>{entry.kind ? `${entry.label} ${KINDS[entry.kind] ?? entry.kind}` : words.entry}</h2>
      <p class="quiet">
        {entry.label}, received {when(entry.received_at)} · {entry.job ? <Link to={`/desk/jobs/${encodeURIComponent(entry.job)}`}>{words.job}</Link> : words.noJob}
      </p>
      {typed && <blockquote>{typed}</blockquote>}
      <p>{entry.words}</p>
      <details>
        <summary>{words.text}</summary>
        <pre class="text-shown breakable" tabIndex={0}>
          {entry.text}
        </pre>
      </details>
      {entry.settled ? (
        <p>
          <b>{words.how[entry.settled] ?? entry.settled}</b> by {entry.settled_by}, {when(entry.settled_at)}
          {entry.settled_reason ? `: ${entry.settled_reason}` : ""}
        </p>
      ) : (
        mayWrite() && <Decide entry={entry} again={again} />
      )}
    </li>
  );
}

export function ApartSheet() {
  return (
    <main class="sheet">
      <p>
        <Link to="/desk">All jobs</Link>
      </p>
      <h1>{words.title}</h1>
      <p>{words.about}</p>
      <Loaded of="apart" load={() => call<{ entries: Entry[] }>("GET", "/desk/apart")}>
        {({ entries }, again) => {
          const open = entries.filter((entry) => entry.settled === null);
          const settled = entries.filter((entry) => entry.settled !== null);
          if (entries.length === 0) return <p class="quiet">{words.none}</p>;
          return (
            <>
              {open.length === 0 && <p class="quiet">{words.allSettled}</p>}
              {open.length > 0 && !mayWrite() && <p>{words.onlyAuthors}</p>}
              <ul class="entries">
                {open.map((entry) => (
                  <EntryCard key={entry.device + entry.sha256} entry={entry} again={again} />
                ))}
              </ul>
              {settled.length > 0 && (
                <details>
                  <summary>{words.settledHead(settled.length)}</summary>
                  <ul class="entries">
                    {settled.map((entry) => (
                      <EntryCard key={entry.device + entry.sha256} entry={entry} again={again} />
                    ))}
                  </ul>
                </details>
              )}
            </>
          );
        }}
      </Loaded>
    </main>
  );
}
