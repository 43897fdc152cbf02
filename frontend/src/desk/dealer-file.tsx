// Everything of a dealership as one file: out of this server, and into a new one.
import { type Signal, useSignal } from "@preact/signals";
import { sendFile } from "./api";
import { useSending, Words } from "./parts";
import { CodeShown, type PasswordCode } from "./password-code";

type Plan = {
  slug: string;
  name: string;
  kid: string;
  made_at: string;
  made_by: string;
  key: "same" | "new" | "missing";
  counts: { what: string; count: number }[];
  told: string[];
  done: boolean;
  codes: PasswordCode[];
};

export function TakeOut() {
  return (
    <section class="card">
      <h2>Everything in one file</h2>
      <p>
        The library, all revisions as they were signed, jobs with their photos, machines, people and the audit log: a zip of open formats, for your own use and for
        another Benchtrail server. The names of customers and their photos are in it; passwords, codes and the signing key are not.
      </p>
      <p>
        Before you move to another server, let every phone send what it has. On the new server each phone joins again with a code.
      </p>
      <p>
        <a class="press-link" href="/api/v1/desk/dealer-file" download>
          Take everything out (zip)
        </a>
      </p>
    </section>
  );
}

function PlanShown({ plan }: { plan: Plan }) {
  return (
    <div aria-live="polite">
      <h3>{plan.done ? `${plan.name} is taken in` : `The file is whole and true: ${plan.name}`}</h3>
      <p class="quiet breakable">
        Written {plan.made_at} by {plan.made_by}. Sealed with the key {plan.kid}: compare it with the old server’s.
      </p>
      <ul>
        {plan.told.map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ul>
      <p>{plan.counts.map(({ what, count }) => `${count} ${what}`).join(", ")}.</p>
      {plan.codes.map((code) => (
        <CodeShown key={code.name} code={code} />
      ))}
      {plan.done && (
        <p>
          <a href="/desk/password">Set the password with this code</a>, then sign in.
        </p>
      )}
    </div>
  );
}

/** On a new server: a dealership from the file that another one wrote. First it is only looked into. */
export function TakeIn({ code }: { code: Signal<string> }) {
  const file = useSignal<File | null>(null);
  const newKey = useSignal(false);
  const plan = useSignal<Plan | null>(null);
  const { busy, problem, send } = useSending();
  const ask = (dryRun: boolean) =>
    void send(async () => {
      const chosen = file.value;
      if (!chosen) return;
      const query = `dry_run=${String(dryRun)}&new_key=${String(newKey.value)}`;
      const headers = { "Content-Type": "application/zip", "X-Benchtrail-Code": code.value };
      plan.value = await sendFile<Plan>(`/set-up/dealer-file?${query}`, chosen, headers);
    });
  const choose = (chosen: File | null) => {
    file.value = chosen;
    plan.value = null;
  };
  const submit = (event: Event) => {
    event.preventDefault();
    ask(true);
  };
  return (
    <section class="card apart-below">
      <h2>Or take a dealership in from another server</h2>
      <p>With the file that its desk wrote under People. The code from above goes with it. Nothing is changed until you have seen what would be done.</p>
      <form onSubmit={submit}>
        <label class="file">
          File of the dealership (zip)
          <input type="file" required accept=".zip,application/zip" onChange={(event) => choose(event.currentTarget.files?.[0] ?? null)} />
        </label>
        <label class="tick-line">
          <input type="checkbox" checked={newKey.value} onChange={(event) => ((newKey.value = event.currentTarget.checked), (plan.value = null))} />
          The old server’s signing key is not to be had: make a new one
        </label>
        <button class="press" disabled={busy.value}>
          {busy.value ? "Working …" : "Look into the file"}
        </button>
      </form>
      {problem.value && <Words message={problem.value} />}
      {plan.value && <PlanShown plan={plan.value} />}
      {plan.value && !plan.value.done && plan.value.key !== "missing" && (
        <button class="press" disabled={busy.value} onClick={() => ask(false)}>
          Take it in
        </button>
      )}
    </section>
  );
}
