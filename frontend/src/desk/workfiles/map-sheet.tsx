// A machine's map in the browser: its tables, one thing opened at a time, the questions of each joint, lists taken in from a table file.
import { useComputed, useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { Link } from "../parts";
import { CsvSheet } from "./csv-sheet";
import type { Editing } from "./editing";
import { TextField, TickField } from "./fields";
import { FindingLines } from "./findings-list";
import { JointQuestions } from "./joint-questions";
import { MAP_KEYS, MAP_TABLES } from "./map-tables";
import { TableView } from "./map-table-view";
import { TextView } from "./text-view";
import { thingsOfText } from "./things";
import type { Finding } from "./types";
import { SendForReview } from "./send-for-review";
import { EditBar } from "./use-editing";

export function MapSheet({ editing }: { editing: Editing }) {
  const view = useSignal("things");
  const table = useSignal("parts");
  const line = useSignal<number | null>(null);
  const things = useComputed(() => withOptions(editing)).value;
  const chosen = MAP_TABLES.find((one) => one.table === table.value)!;
  const joints = MAP_TABLES.find((one) => one.table === "joints")!;
  const findings = editing.findings.value ?? [];
  const byThing = new Map<string, Finding[]>();
  const elsewhere: Finding[] = [];
  const places = placesOf(editing, things);
  for (const finding of findings) {
    const at = places.findLast((one) => one.line <= finding.line);
    if (at && at.key !== "") byThing.set(at.key, [...(byThing.get(at.key) ?? []), finding]);
    else elsewhere.push(finding);
  }
  const faulty = (name: string) => [...byThing.keys()].filter((key) => key.startsWith(`${name}/`)).length;
  const toLine = (finding: Finding) => {
    view.value = "text";
    line.value = finding.line;
  };
  useEffect(() => {
    document.title = `${editing.file.title} · Benchtrail desk`;
  }, []);
  const here = (key: string) => ({ editing, place: [key], order: MAP_KEYS });
  return (
    <main class="sheet wide">
      <p>
        <Link to="/desk/writing">All maps and procedures in writing</Link>
      </p>
      <h1>{String((editing.readable.value.data as { name?: string })?.name ?? editing.file.title)}</h1>
      <EditBar editing={editing} view={view} views={[["things", "Things"], ["questions", "Ask me"], ["table", "Take in a table"], ["head", "About it"], ["text", "Text"]]} />
      <SendForReview editing={editing} />
      {view.value !== "text" && elsewhere.length > 0 && (
        <section class="card" aria-label="About the whole">
          <h2>About the whole</h2>
          <FindingLines findings={elsewhere} editing={editing} things={things} at={toLine} />
        </section>
      )}
      {view.value === "things" && (
        <div class="map-two">
          <nav class="map-tables" aria-label="What is on the map">
            {MAP_TABLES.map((one) => (
              <button key={one.table} aria-pressed={one.table === table.value} onClick={() => (table.value = one.table)}>
                {one.words} <span class="quiet">{(things[one.table] ?? []).length}</span>
                {faulty(one.table) > 0 && <span class="look-word"> {faulty(one.table)} to look at</span>}
              </button>
            ))}
          </nav>
          <TableView key={table.value} editing={editing} table={chosen} things={things} byThing={byThing} toLine={toLine} />
        </div>
      )}
      {view.value === "questions" && <JointQuestions editing={editing} things={things} order={joints.order} />}
      {view.value === "table" && <CsvSheet editing={editing} things={things} done={() => (view.value = "things")} />}
      {view.value === "head" && (
        <div class="head-form">
          <TextField {...here("name")} label="Name of the model" must />
          <TextField {...here("years")} label="Model years, such as 2021-2026" must />
          <TextField {...here("revision")} label="Revision" must />
          <TextField {...here("issued")} label="Issued (2026-11-02)" must />
          <TickField {...here("invented")} label="Invented: not for use on a real machine" />
        </div>
      )}
      {view.value === "text" && <TextView editing={editing} things={things} line={line} />}
    </main>
  );
}

function withOptions(editing: Editing) {
  const tree = editing.readable.value;
  const things = thingsOfText(tree);
  const options = (tree.data as { options?: unknown } | null)?.options;
  const rows = options && typeof options === "object" && !Array.isArray(options) ? Object.entries(options as Record<string, unknown>) : [];
  things["options"] = rows.map(([id, entry]) => {
    const record = typeof entry === "object" && entry !== null ? (entry as Record<string, unknown>) : { name: String(entry) };
    return { id, name: String(record["name"] ?? id), entry: record };
  });
  return things;
}

/** The line on which each thing begins, by line; a key of the head ends the thing above it. */
function placesOf(editing: Editing, things: ReturnType<typeof withOptions>): { line: number; key: string }[] {
  const lines = editing.text.value.split("\n");
  const ids = new Map(MAP_TABLES.map(({ table }) => [table, new Set((things[table] ?? []).map(({ id }) => id))]));
  const found: { line: number; key: string }[] = [];
  let [table, indent] = ["", 0];
  for (const [n, row] of lines.entries()) {
    const top = /^([\w-]+):/.exec(row);
    if (top) {
      [table, indent] = [top[1]!, 0];
      found.push({ line: n + 1, key: "" });
      continue;
    }
    const [, space = "", id = ""] = /^( +)([\w-]+):/.exec(row) ?? [];
    indent ||= space.length;
    if (space.length === indent && ids.get(table)?.has(id)) found.push({ line: n + 1, key: `${table}/${id}` });
  }
  return found;
}
