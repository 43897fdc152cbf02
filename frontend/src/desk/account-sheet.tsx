// One's own account: where one is signed in, and one's password. An owner sees everyone's browsers.
import { useSignal } from "@preact/signals";
import { call } from "./api";
import { Loaded, NewPassword, TypedLine, useSending, when, Words } from "./parts";
import { PasskeysCard } from "./passkeys-card";
import { session } from "./state";

type Browser = { id: string; name: string; browser: string; since: string; until: string; this: boolean };

function BrowserRow({ one, again }: { one: Browser; again: () => void }) {
  const { busy, problem, send } = useSending();
  const end = () =>
    void send(async () => {
      await call("DELETE", `/desk/browsers/${encodeURIComponent(one.id)}`);
      if (one.this) session.value = null;
      else again();
    });
  return (
    <tr>
      <th scope="row">{one.name}</th>
      <td class="breakable">{one.browser || "did not say what it is"}</td>
      <td>{when(one.since)}</td>
      <td>{when(one.until)}</td>
      <td>
        <button disabled={busy.value} onClick={end}>
          {one.this ? "Sign this browser out" : "Sign out"}
        </button>
        {problem.value && <Words message={problem.value} />}
      </td>
    </tr>
  );
}

function OwnPassword() {
  const old = useSignal("");
  const fresh = useSignal("");
  const { busy, problem, send } = useSending();
  const submit = (event: Event) => {
    event.preventDefault();
    void send(async () => {
      await call("POST", "/desk/own-password", { old: old.value, new: fresh.value });
      session.value = null;
    });
  };
  return (
    <section class="card">
      <h2>Another password</h2>
      <p>You are signed out everywhere and sign in again with the new one.</p>
      <form class="in-line" onSubmit={submit}>
        <TypedLine label="Password that holds now" typed={old} password autocomplete="current-password" />
        <NewPassword label="New password" typed={fresh} />
        <button class="press" disabled={busy.value}>
          Set it
        </button>
      </form>
      {problem.value && <Words message={problem.value} />}
    </section>
  );
}

export function AccountSheet() {
  return (
    <main class="sheet">
      <h1>Your account</h1>
      <section class="card">
        <h2>Signed-in browsers</h2>
        <Loaded of="browsers" load={() => call<{ browsers: Browser[] }>("GET", "/desk/browsers")}>
          {({ browsers }, again) => (
            <div class="scroll" tabIndex={0} role="region" aria-label="Signed-in browsers">
              <table>
                <thead>
                  <tr>
                    <th>Who</th>
                    <th>Browser</th>
                    <th>Since</th>
                    <th>Until</th>
                    <th>End it</th>
                  </tr>
                </thead>
                <tbody>
                  {browsers.map((one) => (
                    <BrowserRow key={one.id} one={one} again={again} />
                  ))}
                </tbody>
              </table>
            </div>
          )}
        </Loaded>
      </section>
      <PasskeysCard />
      <OwnPassword />
    </main>
  );
}
