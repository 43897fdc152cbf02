// Who may do what: accounts, roles, codes with which people set their own passwords; an owner's page.
import { useSignal } from "@preact/signals";
import { call } from "./api";
import { AuditCard } from "./audit-card";
import { FrameSites } from "./frame-sites";
import { TakeOut } from "./dealer-file";
import { counted, Loaded, useSending, when, Words } from "./parts";
import { CodeShown, type PasswordCode } from "./password-code";
import { RetentionCard } from "./retention-card";
import { session } from "./state";

type Person = { name: string; role: string; state: "open" | "waiting" | "closed"; made_at: string; sessions: number };

const ROLES: [string, string][] = [
  ["owner", "everything, and these people"],
  ["author", "writes, publishes, enrols phones"],
  ["reviewer", "reads, and reviews what others wrote"],
  ["reader", "reads"],
];
const STATES = { open: "May sign in", waiting: "Has not set a password yet", closed: "Closed" };

function RoleChoice({ value, change, label }: { value: string; change: (role: string) => void; label: string }) {
  return (
    <label>
      {label}
      <select value={value} onChange={(event) => change(event.currentTarget.value)}>
        {ROLES.map(([role, words]) => (
          <option key={role} value={role}>
            {role}: {words}
          </option>
        ))}
      </select>
    </label>
  );
}

function LetIn({ again }: { again: () => void }) {
  const name = useSignal("");
  const role = useSignal("reader");
  const made = useSignal<PasswordCode | null>(null);
  const { busy, problem, send } = useSending();
  const submit = (event: Event) => {
    event.preventDefault();
    void send(async () => {
      made.value = await call<PasswordCode>("POST", "/desk/people", { name: name.value, role: role.value });
      name.value = "";
      again();
    });
  };
  return (
    <section class="card">
      <h2>Let someone in</h2>
      <p>You get a code for them. With it they set their own password; nobody else ever knows it.</p>
      <form class="in-line" onSubmit={submit}>
        <label>
          Name to sign in with
          <input required maxLength={40} autocomplete="off" value={name.value} onInput={(e) => (name.value = e.currentTarget.value)} />
        </label>
        <RoleChoice label="Role" value={role.value} change={(to) => (role.value = to)} />
        <button class="press" disabled={busy.value}>
          Make the account
        </button>
      </form>
      {problem.value && <Words message={problem.value} />}
      {made.value && <CodeShown code={made.value} />}
    </section>
  );
}

function PersonRow({ person, again }: { person: Person; again: () => void }) {
  const code = useSignal<PasswordCode | null>(null);
  const asked = useSignal(false);
  const { busy, problem, send } = useSending();
  const at = `/desk/people/${encodeURIComponent(person.name)}`;
  const change = (body: object) =>
    void send(async () => {
      asked.value = false;
      await call("PATCH", at, body);
      again();
    });
  const reset = () => void send(async () => void (code.value = await call<PasswordCode>("POST", `${at}/password-code`, {})));
  const own = person.name === session.value?.user.name;
  return (
    <li class="card">
      <h3>
        {person.name}
        {own ? " (you)" : ""}
      </h3>
      <p class="quiet">
        {STATES[person.state]}. Account made {when(person.made_at)}, {counted(person.sessions, "browser")} signed in.
      </p>
      <div class="in-line">
        <RoleChoice label={`Role of ${person.name}`} value={person.role} change={(role) => change({ role })} />
        {person.state !== "closed" && (
          <button disabled={busy.value} onClick={reset}>
            New password code
          </button>
        )}
        {person.state === "closed" ? (
          <button disabled={busy.value} onClick={() => change({ closed: false })}>
            Open the account again
          </button>
        ) : asked.value ? (
          <span>
            Signed out everywhere, at once.{" "}
            <button class="danger" disabled={busy.value} onClick={() => change({ closed: true })}>
              Close it
            </button>{" "}
            <button onClick={() => (asked.value = false)}>Leave it</button>
          </span>
        ) : (
          <button onClick={() => (asked.value = true)}>Close the account …</button>
        )}
      </div>
      {problem.value && <Words message={problem.value} />}
      {code.value && <CodeShown code={code.value} />}
    </li>
  );
}

export function PeopleSheet() {
  return (
    <main class="sheet">
      <h1>People</h1>
      <Loaded of="people" load={() => call<{ people: Person[] }>("GET", "/desk/people")}>
        {({ people }, again) => (
          <>
            <LetIn again={again} />
            <h2>{counted(people.length, "account")}</h2>
            <ul class="entries">
              {people.map((person) => (
                <PersonRow key={person.name} person={person} again={again} />
              ))}
            </ul>
            <FrameSites />
            <RetentionCard />
            <TakeOut />
            <AuditCard />
          </>
        )}
      </Loaded>
    </main>
  );
}
