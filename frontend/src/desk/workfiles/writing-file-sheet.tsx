// One workfile opened: the editor that its kind has.
import { MapSheet } from "./map-sheet";
import { ProcedureSheet } from "./procedure-sheet";
import { WithEditing } from "./use-editing";

export function WritingFileSheet({ id }: { id: string }) {
  return (
    <WithEditing key={id} id={id}>
      {(editing) => (editing.file.kind === "map" ? <MapSheet editing={editing} /> : <ProcedureSheet editing={editing} />)}
    </WithEditing>
  );
}
