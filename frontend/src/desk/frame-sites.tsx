// Which sites may show the dealer's plain pages in a frame; an owner says so.
import { useSignal } from "@preact/signals";
import { call } from "./api";
import { Loaded, useSending, Words } from "./parts";
import { session } from "./state";

function SitesForm({ sites, again }: { sites: string[] | null; again: () => void }) {
  const how = useSignal(sites === null ? "any" : "some");
  const text = useSignal((sites ?? []).join("\n"));
  const { busy, problem, send } = useSending();
  const submit = (event: Event) => {
    event.preventDefault();
    const named = text.value.split(/\s+/).filter(Boolean);
    void send(async () => {
      await call("POST", "/desk/frame-sites", { sites: how.value === "any" ? null : named });
      again();
    });
  };
  return (
    <form onSubmit={submit}>
      <label>
        Who may show them
        <select value={how.value} onChange={(event) => (how.value = event.currentTarget.value)}>
          <option value="any">any site</option>
          <option value="some">only these sites; none when none is named</option>
        </select>
      </label>
      {how.value === "some" && (
        <label>
          Sites, one in a line, such as https://www.example.org
          <textarea rows={3} value={text.value} onInput={(event) => (text.value = event.currentTarget.value)} />
        </label>
      )}
      <button disabled={busy.value}>Set it</button>
      {problem.value && <Words message={problem.value} />}
    </form>
  );
}

export function FrameSites() {
  const slug = session.value?.dealer.slug ?? "";
  return (
    <section class="card">
      <h2>On your own site</h2>
      <p>
        Each procedure in force is also a plain page. Your site shows it in a frame:{" "}
        <code class="breakable">{`<iframe src="${location.origin}/how-to/${slug}/PROCEDURE"></iframe>`}</code>
      </p>
      <Loaded of="frame-sites" load={() => call<{ sites: string[] | null }>("GET", "/desk/frame-sites")}>
        {({ sites }, again) => (
          <>
            <p>{sites === null ? "Now: any site may." : sites.length === 0 ? "Now: no site may." : `Now: only ${sites.join(", ")}.`}</p>
            <SitesForm key={JSON.stringify(sites)} sites={sites} again={again} />
          </>
        )}
      </Loaded>
    </section>
  );
}
