// Setting one's password with a code from an owner. The code stands behind # in the link, so no server's log sees it.
import { useSignal } from "@preact/signals";
import { call } from "./api";
import { Link, NewPassword, TypedLine, useSending, Words } from "./parts";

export function PasswordPage() {
  const code = useSignal(/^#code=([^&]+)/.exec(location.hash)?.[1] ?? "");
  const password = useSignal("");
  const set = useSignal("");
  const { busy, problem, send } = useSending();
  const submit = (event: Event) => {
    event.preventDefault();
    void send(async () => {
      set.value = (await call<{ name: string }>("POST", "/password", { code: code.value, password: password.value })).name;
      history.replaceState(null, "", "/desk/password");
    });
  };
  if (set.value)
    return (
      <main class="sheet narrow">
        <h1>The password is set</h1>
        <p>
          You sign in as <b>{set.value}</b>. <Link to="/desk">Sign in</Link>
        </p>
      </main>
    );
  return (
    <main class="sheet narrow">
      <h1>Set your password</h1>
      <p>The code comes from an owner of your dealership. It works once, within a day; until you use it nothing changes.</p>
      <form onSubmit={submit}>
        <TypedLine label="Code" typed={code} maxLength={40} autocomplete="one-time-code" />
        <NewPassword label="New password" typed={password} />
        <button class="press" disabled={busy.value}>
          Set it
        </button>
      </form>
      {problem.value && <Words message={problem.value} />}
    </main>
  );
}
