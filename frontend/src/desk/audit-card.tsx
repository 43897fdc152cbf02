// The audit log, newest first. It is only ever added to; the server's doctor checks its chain.
import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { call } from "./api";
import { useSending, when, Words } from "./parts";

type Line = { number: number; at: string; by: string; act: string; subject: string; values: Record<string, unknown>; sha256: string };

const ACTS: Record<string, string> = {
  set_up: "set the server up for",
  account_made: "made the account",
  account_closed: "closed the account",
  account_opened: "opened again the account",
  role_changed: "changed the role of",
  password_code_made: "made a password code for",
  password_set: "set the password of",
  signed_in: "signed in as",
  sign_in_refused: "tried a wrong password for",
  session_ended: "signed out a browser of",
  phone_code_made: "made a code for the phone of",
  phone_enrolled: "enrolled the phone of",
  phone_shut_out: "shut out the phone of",
  published: "published",
  sent_for_review: "sent for review",
  proposal_taken_back: "took back the proposal",
  reviewed: "reviewed",
  withdrawn: "withdrew",
  machine_written: "wrote down the machine",
  exported: "took out the data of",
  job_taken_in: "took in from a file the job",
  job_erased: "erased the contents of the job",
  entry_taken_up: "took up an entry of the job",
  entry_answered: "answered an entry of the job",
  entry_dismissed: "dismissed an entry of the job",
  retention_set: "set how long closed jobs are kept:",
  imported: "took in the data of",
  job_link_made: "made a link for one machine to",
  job_link_withdrawn: "withdrew a link for one machine to",
  frame_sites_set: "set which sites may show pages in a frame:",
  passkey_added: "added the passkey",
  passkey_removed: "removed the passkey",
};

const details = (values: Record<string, unknown>): string =>
  Object.entries(values)
    .filter(([name]) => name !== "sha256")
    .map(([name, value]) => `${name.replaceAll("_", " ")} ${String(value)}`)
    .join(", ");

export function AuditCard() {
  const lines = useSignal<Line[]>([]);
  const more = useSignal(true);
  const { busy, problem, send } = useSending();
  const read = () =>
    void send(async () => {
      const last = lines.value.at(-1);
      const page = await call<{ lines: Line[]; more: boolean }>("GET", `/desk/audit${last ? `?before=${last.number}` : ""}`);
      lines.value = [...lines.value, ...page.lines];
      more.value = page.more;
    });
  useEffect(read, []);
  return (
    <section class="card">
      <h2>Audit log</h2>
      <p>
        Who did what. Lines are added and never changed; each carries the hash of the one before.{" "}
        <a href="/api/v1/desk/audit.csv">Take it out as a table (CSV)</a>
      </p>
      {problem.value && <Words message={problem.value} />}
      <div class="scroll" tabIndex={0} role="region" aria-label="Audit log">
        <table>
          <thead>
            <tr>
              <th>Line</th>
              <th>When</th>
              <th>Who</th>
              <th>Did what</th>
              <th>Details</th>
            </tr>
          </thead>
          <tbody>
            {lines.value.map((line) => (
              <tr key={line.number}>
                <td>{line.number}</td>
                <td>{when(line.at)}</td>
                <th scope="row">{line.by}</th>
                <td>
                  {ACTS[line.act] ?? line.act} {line.subject}
                </td>
                <td class="breakable">{details(line.values)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      {more.value && (
        <button disabled={busy.value} onClick={read}>
          Older lines
        </button>
      )}
    </section>
  );
}
