import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { call } from "./api";
import { useSending, Words } from "./parts";
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
  return (
    <main class="sheet narrow">
      <h1>The desk</h1>
      <p>Where the dealer reads what came back, and publishes.</p>
      <form onSubmit={submit}>
        <label>
          Name
          <input autocomplete="username" required value={name.value} onInput={(e) => (name.value = e.currentTarget.value)} />
        </label>
        <label>
          Password
          <input type="password" autocomplete="current-password" required value={password.value} onInput={(e) => (password.value = e.currentTarget.value)} />
        </label>
        <button class="press" disabled={busy.value}>
          {busy.value ? "Signing in …" : "Sign in"}
        </button>
      </form>
      {problem.value && <Words message={problem.value} />}
      <p class="quiet">
        Following a procedure needs no name: <a href="/">open the bench</a>.
      </p>
    </main>
  );
}
