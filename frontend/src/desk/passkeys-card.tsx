// One's passkeys: added, named anew, removed. An owner sees everyone's.
import { useSignal } from "@preact/signals";
import { call } from "./api";
import { Loaded, TypedLine, useSending, when, Words } from "./parts";
import { addPasskey, passkeysHere } from "./passkeys";
import { session } from "./state";

type Passkey = { id: string; name: string; label: string; site: string; made_at: string; used_at: string | null };
const LET_BE = { happened: "No passkey was made.", means: "The device was not asked to the end, or holds one for this account already.", do: "Press again when you are ready." };

function PasskeyRow({ one, again }: { one: Passkey; again: () => void }) {
  const label = useSignal(one.label);
  const { busy, problem, send } = useSending();
  const at = `/desk/passkeys/${encodeURIComponent(one.id)}`;
  const act = (method: "PATCH" | "DELETE", body?: object) => void send(async () => void (await call(method, at, body), again()));
  const own = one.name === session.value?.user.name;
  return (
    <li>
      <p>
        <b>{one.label}</b>
        {own ? "" : `, of ${one.name}`}: for {one.site}, made {when(one.made_at)}, {one.used_at ? `last used ${when(one.used_at)}` : "not used yet"}
      </p>
      <div class="in-line">
        {own && (
          <>
            <TypedLine label={`Another name for ${one.label}`} typed={label} maxLength={60} autocomplete="off" />
            <button disabled={busy.value} onClick={() => act("PATCH", { label: label.value })}>
              Name it so
            </button>
          </>
        )}
        <button class="danger" disabled={busy.value} onClick={() => act("DELETE")}>
          Remove {one.label}
        </button>
      </div>
      {problem.value && <Words message={problem.value} />}
    </li>
  );
}

function AddPasskey({ again }: { again: () => void }) {
  const label = useSignal("");
  const password = useSignal("");
  const letBe = useSignal(false);
  const { busy, problem, send } = useSending();
  const submit = (event: Event) => {
    event.preventDefault();
    void send(async () => {
      letBe.value = !(await addPasskey(password.value, label.value));
      password.value = "";
      if (letBe.value) return;
      label.value = "";
      again();
    });
  };
  return (
    <form class="in-line" onSubmit={submit}>
      <TypedLine label="Name of the device or key" typed={label} maxLength={60} autocomplete="off" />
      <TypedLine label="Your password, to be sure it is you" typed={password} password autocomplete="current-password" />
      <button class="press" disabled={busy.value}>
        Add a passkey
      </button>
      {problem.value && <Words message={problem.value} />}
      {letBe.value && <Words message={LET_BE} />}
    </form>
  );
}

export function PasskeysCard() {
  return (
    <section class="card">
      <h2>Passkeys</h2>
      <p>With a passkey you sign in by finger, face or PIN of your own device. Your password holds beside it.</p>
      <Loaded of="passkeys" load={() => call<{ passkeys: Passkey[] }>("GET", "/desk/passkeys")}>
        {({ passkeys }, again) => (
          <>
            {passkeys.length === 0 && <p class="quiet">There is none yet.</p>}
            <ul>
              {passkeys.map((one) => (
                <PasskeyRow key={one.id + one.label} one={one} again={again} />
              ))}
            </ul>
            {passkeysHere() ? (
              <AddPasskey again={again} />
            ) : (
              <p class="quiet">Here none can be made: browsers bind passkeys to a name, so open the desk by its name over HTTPS.</p>
            )}
          </>
        )}
      </Loaded>
    </section>
  );
}
