// One workfile opened: the editor that its kind has; the text alone for who may not write.
import { call } from "../api";
import { Link, Loaded } from "../parts";
import { mayWrite } from "../state";
import { MapSheet } from "./map-sheet";
import { ProcedureSheet } from "./procedure-sheet";
import type { WorkfileText } from "./types";
import { WithEditing } from "./use-editing";

export function WritingFileSheet({ id }: { id: string }) {
  if (!mayWrite()) return <ReadOnly id={id} />;
  return (
    <WithEditing key={id} id={id}>
      {(editing) => (editing.file.kind === "map" ? <MapSheet editing={editing} /> : <ProcedureSheet editing={editing} />)}
    </WithEditing>
  );
}

function ReadOnly({ id }: { id: string }) {
  return (
    <main class="sheet">
      <p>
        <Link to="/desk/writing">All maps and procedures in writing</Link>
      </p>
      <Loaded of={id} load={() => call<WorkfileText>("GET", `/desk/workfiles/${encodeURIComponent(id)}`)}>
        {({ title, text, version }) => (
          <>
            <h1>{title}</h1>
            <p>
              Version {version}. You may read it; only an author writes.{" "}
              <a href={`/api/v1/desk/workfiles/${encodeURIComponent(id)}/yaml`} download>
                Take it out as a file
              </a>
            </p>
            <pre class="scroll" tabIndex={0} aria-label="The text of the file">
              {text}
            </pre>
          </>
        )}
      </Loaded>
    </main>
  );
}
