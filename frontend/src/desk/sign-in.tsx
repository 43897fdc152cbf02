import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { call } from "./api";
import { TypedLine, useSending, Words } from "./parts";
import { passkeysHere, signInWithPasskey } from "./passkeys";
import { SetUp } from "./set-up";
import { askSession } from "./state";

export function SignIn() {
  const name = useSignal("");
  const password = useSignal("");
  const fresh = useSignal(false);
  const { busy, problem, send } = useSending();
  useEffect(() => {
    call<{ needed: boolean }>("GET", "/set-up").then(
      ({ needed }) => (fresh.value = needed),
      () => undefined,
    );
  }, []);
  if (fresh.value) return <SetUp />;
  const submit = (event: Event) => {
    event.preventDefault();
    void send(async () => {
      await call("POST", "/session", { name: name.value, password: password.value });
      await askSession();
    });
  };
  const byPasskey = () => void send(async () => ((await signInWithPasskey()) ? askSession() : undefined));
  return (
    <main class="sheet narrow">
      <h1>The desk</h1>
      <p>Where the dealer reads what came back, and publishes.</p>
      <form onSubmit={submit}>
        <TypedLine label="Name" typed={name} autocomplete="username" />
        <TypedLine label="Password" typed={password} password autocomplete="current-password" />
        <button class="press" disabled={busy.value}>
          {busy.value ? "Signing in …" : "Sign in"}
        </button>
      </form>
      {passkeysHere() && (
        <p>
          <button disabled={busy.value} onClick={byPasskey}>
            Use a passkey instead
          </button>
        </p>
      )}
      {problem.value && <Words message={problem.value} />}
      <p class="quiet">
        Following a procedure needs no name: <a href="/">open the bench</a>.
      </p>
    </main>
  );
}
