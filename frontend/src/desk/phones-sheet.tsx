// Enrolling a customer's phone, and the phones that are enrolled.
import { useSignal } from "@preact/signals";
import { call } from "./api";
import { Code, Loaded, useSending, when, Words } from "./parts";
import { mayWrite } from "./state";

type Enrolment = { code: string; link: string; qr_svg: string; expires_at: string };
type Device = { device: string; label: string; enrolled_at: string; last_seen_at: string | null; waiting: number | null; revoked_at: string | null };

function MakeCode() {
  const label = useSignal("");
  const made = useSignal<Enrolment | null>(null);
  const { busy, problem, send } = useSending();
  const submit = (event: Event) => {
    event.preventDefault();
    void send(async () => {
      made.value = await call<Enrolment>("POST", "/desk/enrolment-codes", { label: label.value });
    });
  };
  return (
    <section class="card">
      <h2>Enrol a phone</h2>
      <p>The customer scans the code, or types the eight characters under “Sending”, “Join a dealer”. It works once, for ten minutes.</p>
      <form class="in-line" onSubmit={submit}>
        <label>
          Whose phone
          <input required maxLength={80} value={label.value} onInput={(e) => (label.value = e.currentTarget.value)} />
        </label>
        <button class="press" disabled={busy.value}>
          Make a code
        </button>
      </form>
      {problem.value && <Words message={problem.value} />}
      {made.value && (
        <div class="code-card" aria-live="polite">
          <Code svg={made.value.qr_svg} label={`QR code that enrols a phone: ${made.value.link}`} />
          <div>
            <p class="code-words">{made.value.code}</p>
            <p>Until {when(made.value.expires_at)}</p>
            <p class="quiet breakable">{made.value.link}</p>
          </div>
        </div>
      )}
    </section>
  );
}

function DeviceRow({ device, again }: { device: Device; again: () => void }) {
  const asked = useSignal(false);
  const { busy, problem, send } = useSending();
  const revoke = () =>
    void send(async () => {
      await call("DELETE", `/desk/devices/${encodeURIComponent(device.device)}`);
      again();
    });
  return (
    <tr>
      <th scope="row">{device.label}</th>
      <td>{when(device.enrolled_at)}</td>
      <td>{device.last_seen_at ? when(device.last_seen_at) : "not yet"}</td>
      <td>{device.waiting ?? "not known"}</td>
      <td>
        {device.revoked_at ? (
          `Shut out ${when(device.revoked_at)}`
        ) : !mayWrite() ? (
          "May send"
        ) : asked.value ? (
          <span>
            What it has not sent stays on it.{" "}
            <button class="danger" disabled={busy.value} onClick={revoke}>
              Shut it out
            </button>{" "}
            <button onClick={() => (asked.value = false)}>Leave it</button>
          </span>
        ) : (
          <button onClick={() => (asked.value = true)}>Shut out …</button>
        )}
        {problem.value && <Words message={problem.value} />}
      </td>
    </tr>
  );
}

export function PhonesSheet() {
  return (
    <main class="sheet">
      <h1>Phones</h1>
      {mayWrite() && <MakeCode />}
      <Loaded of="devices" load={() => call<{ devices: Device[] }>("GET", "/desk/devices")}>
        {({ devices }, again) =>
          devices.length === 0 ? (
            <p class="quiet">No phone is enrolled yet.</p>
          ) : (
            <div class="scroll">
              <table>
                <thead>
                  <tr>
                    <th>Phone of</th>
                    <th>Enrolled</th>
                    <th>Last heard of</th>
                    <th>Waiting on it then</th>
                    <th>May it send</th>
                  </tr>
                </thead>
                <tbody>
                  {devices.map((device) => (
                    <DeviceRow key={device.device} device={device} again={again} />
                  ))}
                </tbody>
              </table>
            </div>
          )
        }
      </Loaded>
    </main>
  );
}
