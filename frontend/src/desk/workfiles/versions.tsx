// Every version saved: who, when, and the way back to one.
import { useSignal } from "@preact/signals";
import { call } from "../api";
import { Loaded, useSending, when, Words } from "../parts";
import type { Editing } from "./editing";
import type { WorkfileText } from "./types";

type Row = { version: number; saved_at: string; saved_by: string };

export function Versions({ editing }: { editing: Editing }) {
  const open = useSignal(false);
  const { busy, problem, send } = useSending();
  const at = `/desk/workfiles/${editing.file.id}/versions`;
  const take = (version: number) =>
    void send(async () => {
      const found = await call<WorkfileText>("GET", `${at}/${version}`);
      editing.change(found.text);
      editing.said.value = `This is the text of version ${version} again. Undo brings the other one back.`;
      open.value = false;
    });
  return (
    <details class="versions" open={open.value} onToggle={(e) => (open.value = e.currentTarget.open)}>
      <summary>Versions ({editing.version.value})</summary>
      {problem.value && <Words message={problem.value} />}
      {open.value && (
        <Loaded of={`${editing.version.value}`} load={() => call<{ versions: Row[] }>("GET", at)}>
          {({ versions }) => (
            <ol class="version-rows">
              {versions.slice(0, 200).map((row) => (
                <li key={row.version} value={row.version}>
                  {when(row.saved_at)}, {row.saved_by}{" "}
                  <button disabled={busy.value || row.version === editing.version.value} onClick={() => take(row.version)}>
                    Take the text of version {row.version}
                  </button>
                </li>
              ))}
            </ol>
          )}
        </Loaded>
      )}
    </details>
  );
}
