// A new server: the first owner, with the code that the server printed where it was started.
import { useSignal } from "@preact/signals";
import { call } from "./api";
import { TakeIn } from "./dealer-file";
import { NewPassword, TypedLine, useSending, Words } from "./parts";
import { askSession } from "./state";

export function SetUp() {
  const code = useSignal("");
  const dealer = useSignal("");
  const name = useSignal("");
  const password = useSignal("");
  const { busy, problem, send } = useSending();
  const submit = (event: Event) => {
    event.preventDefault();
    void send(async () => {
      await call("POST", "/set-up", { code: code.value, dealer_name: dealer.value, name: name.value, password: password.value });
      await askSession();
    });
  };
  return (
    <main class="sheet narrow">
      <h1>Set up this server</h1>
      <p>Nobody has an account here yet. The code stands where the server was started; whoever can read it there is the first owner.</p>
      <form onSubmit={submit}>
        <TypedLine label="Code that the server printed" typed={code} maxLength={40} autocomplete="one-time-code" />
        <TypedLine label="Name of the dealership, as customers know it" typed={dealer} maxLength={200} autocomplete="organization" />
        <TypedLine label="Your name to sign in with" typed={name} maxLength={40} autocomplete="username" />
        <NewPassword label="Your password" typed={password} />
        <button class="press" disabled={busy.value}>
          {busy.value ? "Setting up …" : "Set it up"}
        </button>
      </form>
      {problem.value && <Words message={problem.value} />}
      <TakeIn code={code} />
    </main>
  );
}
