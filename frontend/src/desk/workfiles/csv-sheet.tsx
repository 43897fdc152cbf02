// A parts or torque table taken into the map: columns named, every row shown before it comes in, and one undo takes all of it back.
import { useSignal } from "@preact/signals";
import type { Message } from "../api";
import { counted, Words } from "../parts";
import { COLUMNS, guessColumns, MOST_ROWS, namesOf, notATable, readRows, readSheet, withJoints, type JointThere, type Kind, type Row, type Sheet } from "./csv-table";
import type { Editing } from "./editing";
import { MAP_KEYS, MAP_TABLES } from "./map-tables";
import { TABLES, type Things } from "./things";
import { tryEdit } from "./use-editing";
import { addEntries, addKeys, type Value } from "./yaml-text";

const MOST_TEXT_KB = 1024;
const PREVIEW = 40;
const DELIMITERS: Record<string, string> = { ",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars" };

export function CsvSheet({ editing, things, done }: { editing: Editing; things: Things; done: () => void }) {
  const kind = useSignal<Kind>("parts");
  const sheet = useSignal<Sheet | null>(null);
  const columns = useSignal<string[]>([]);
  const source = useSignal("");
  const condition = useSignal("");
  const refused = useSignal<Message | null>(null);
  const chosen = useSignal<ReadonlyMap<number, string>>(new Map());
  const open = async (file: File | undefined) => {
    if (!file) return;
    const bytes = new Uint8Array(await file.arrayBuffer());
    refused.value = notATable(bytes);
    chosen.value = new Map();
    sheet.value = refused.value ? null : readSheet(bytes);
    if (!sheet.value) return;
    columns.value = guessColumns(kind.value, sheet.value.head);
  };
  const change = (next: Kind) => {
    kind.value = next;
    if (sheet.value) columns.value = guessColumns(next, sheet.value.head);
  };
  const torques = kind.value === "torques";
  const there = new Set(["frame", ...[...TABLES, "options"].flatMap((table) => (things[table] ?? []).map(({ id }) => id))]);
  const names = new Set((torques ? [] : (things["parts"] ?? [])).map(({ name }) => name.toLowerCase()));
  const joints = torques ? jointsOf(things) : [];
  const read = sheet.value ? readRows(kind.value, sheet.value, columns.value, there, names, source.value.trim(), condition.value.trim()) : [];
  const rows = sheet.value && torques ? withJoints(read, namesOf(sheet.value, columns.value), joints, chosen.value) : read;
  const good = rows.filter((row): row is Row & { value: { [key: string]: Value } } => row.value !== null);
  const take = () => {
    const table = torques ? "figures" : "parts";
    const entries = good.map(({ id, value }): [string, Value] => [id, value]);
    const onJoints = good.filter(({ joint }) => joint !== null).map(({ id, joint }): [string, string] => [joint!, id]);
    const order = MAP_TABLES.find((one) => one.table === "joints")!.order;
    if (!tryEdit(editing, (text) => addKeys(addEntries(text, table, entries, MAP_KEYS), "joints", "figure", onJoints, order))) return;
    const attached = onJoints.length > 0 ? ` ${counted(onJoints.length, "joint")} ${onJoints.length === 1 ? "has its figure" : "have their figures"}.` : "";
    editing.said.value = `${counted(entries.length, "row")} came in.${attached} Undo takes all of them back.`;
    done();
  };
  return (
    <section class="card csv">
      <fieldset>
        <legend>What the table holds</legend>
        <label class="tick-line">
          <input type="radio" name="csv-kind" checked={!torques} onChange={() => change("parts")} />
          Parts
        </label>
        <label class="tick-line">
          <input type="radio" name="csv-kind" checked={torques} onChange={() => change("torques")} />
          Torque figures
        </label>
      </fieldset>
      <label class="file">
        The table (.csv)
        <input type="file" accept=".csv,.txt,text/csv" onChange={(e) => void open(e.currentTarget.files?.[0])} />
      </label>
      {refused.value && <Words message={refused.value} />}
      {torques && (
        <div class="in-line">
          <label>
            Source of all rows that name none
            <input value={source.value} onInput={(e) => (source.value = e.currentTarget.value)} />
          </label>
          <label>
            Condition of all rows that name none
            <input value={condition.value} placeholder="dry" onInput={(e) => (condition.value = e.currentTarget.value)} />
          </label>
        </div>
      )}
      {sheet.value && sheet.value.rows.length === 0 && <p class="look-word">The file holds no row under its head. Nothing can come in.</p>}
      {sheet.value && sheet.value.rows.length > 0 && (
        <Preview sheet={sheet.value} kind={kind.value} columns={columns} rows={rows} good={good.length} editing={editing} take={take} joints={joints} chosen={chosen} />
      )}
    </section>
  );
}

const jointsOf = (things: Things): JointThere[] =>
  (things["joints"] ?? []).map(({ id, name, entry }) => {
    const figure = things["figures"]?.find((one) => one.id === entry["figure"]);
    return { id, name, figure: figure?.name ?? String(entry["figure"] ?? ""), thread: String(entry["thread"] ?? "") };
  });

/** The joint that a figure goes to. */
function JointChoice({ row, joints, chosen }: { row: Row; joints: JointThere[]; chosen: { value: ReadonlyMap<number, string> } }) {
  return (
    <select aria-label={`Line ${row.line}: the joint that takes it`} value={chosen.value.get(row.line) ?? row.joint ?? ""} onChange={(e) => (chosen.value = new Map([...chosen.value, [row.line, e.currentTarget.value]]))}>
      <option value="">no joint: only a figure</option>
      {joints.filter(({ id, figure }) => !figure || id === chosen.value.get(row.line)).map(({ id, name }) => (
        <option key={id} value={id}>
          {name}
        </option>
      ))}
    </select>
  );
}

type PreviewProps = { sheet: Sheet; kind: Kind; columns: { value: string[] }; rows: Row[]; good: number; editing: Editing; take: () => void; joints: JointThere[]; chosen: { value: ReadonlyMap<number, string> } };

function Preview({ sheet, kind, columns, rows, good, editing, take, joints, chosen }: PreviewProps) {
  const bad = rows.filter(({ errors }) => errors.length > 0);
  const known = rows.filter((row) => row.known && row.errors.length === 0);
  const onlyBad = useSignal(false);
  const shown = (onlyBad.value ? bad : rows).slice(0, PREVIEW);
  const grown = Math.ceil((new Blob([editing.text.value]).size + rows.reduce((sum, { id, value }) => sum + (value ? id.length + 6 + JSON.stringify(value).length : 0), 0)) / 1024);
  return (
    <>
      <p>
        {counted(sheet.rows.length, "row")}, parted by {DELIMITERS[sheet.delimiter] ?? sheet.delimiter}, written in {sheet.encoding}. <b>{good} can come in</b>
        {known.length > 0 && `, ${known.length} are on the map already and stay as they are`}
        {bad.length > 0 && `, ${bad.length} cannot`}.{kind === "torques" && ` ${counted(rows.filter(({ joint }) => joint).length, "row")} ${rows.filter(({ joint }) => joint).length === 1 ? "goes" : "go"} to a joint of the map.`}
      </p>
      {sheet.rows.length > MOST_ROWS && <p class="look-word">Only the first {MOST_ROWS} rows are read. Divide the table.</p>}
      {grown > MOST_TEXT_KB && (
        <p class="look-word">
          The map would have about {grown} kB; at most {MOST_TEXT_KB} kB can be kept. Take out of the table what no procedure touches, then choose it again.
        </p>
      )}
      {bad.length > 0 && (
        <label class="tick-line">
          <input type="checkbox" checked={onlyBad.value} onChange={(e) => (onlyBad.value = e.currentTarget.checked)} />
          Show only the rows that cannot come in
        </label>
      )}
      <div class="scroll" tabIndex={0} role="region" aria-label="The rows">
        <table>
          <thead>
            <tr>
              <th scope="col">Line</th>
              <th scope="col">Comes in</th>
              {kind === "torques" && <th scope="col">On the joint</th>}
              {sheet.head.map((words, n) => (
                <th scope="col" key={n}>
                  {words || `column ${n + 1}`}
                  <select aria-label={`Column ${n + 1}, ${words}, is`} value={columns.value[n] ?? ""} onChange={(e) => (columns.value = columns.value.map((one, m) => (m === n ? e.currentTarget.value : one === e.currentTarget.value ? "" : one)))}>
                    <option value="">left out</option>
                    {COLUMNS[kind].map(([key, label]) => (
                      <option key={key} value={key}>
                        {label}
                      </option>
                    ))}
                  </select>
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {shown.map((row) => (
              <tr key={row.line}>
                <td>{row.line}</td>
                <td class={row.errors.length > 0 ? "look-word" : ""}>{row.errors.length > 0 ? `No: ${row.errors.join("; ")}` : row.known ? "On the map already" : "Yes"}</td>
                {kind === "torques" && (
                  <td>
                    <JointChoice row={row} joints={joints} chosen={chosen} />
                  </td>
                )}
                {sheet.head.map((_, n) => (
                  <td key={n} class="breakable">
                    {row.cells[n] ?? ""}
                  </td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      {(onlyBad.value ? bad : rows).length > PREVIEW && <p class="quiet">The first {PREVIEW} are shown.</p>}
      <button class="press" disabled={good === 0 || grown > MOST_TEXT_KB} onClick={take}>
        Take in {counted(good, "row")}
      </button>
    </>
  );
}
