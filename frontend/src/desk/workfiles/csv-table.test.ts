import { describe, expect, it } from "vitest";
import { guessColumns, namesOf, notATable, readRows, readSheet, withJoints, type Kind } from "./csv-table";

const utf8 = (text: string) => new TextEncoder().encode(text);
const rowsOf = (kind: Kind, bytes: Uint8Array, names: string[] = [], source = "", condition = "") => {
  const sheet = readSheet(bytes);
  return readRows(kind, sheet, guessColumns(kind, sheet.head), new Set(), new Set(names), source, condition);
};

describe("a parts table", () => {
  it("is read with commas, semicolons or tabs, with a byte order mark, and with quotes and line ends of any kind", () => {
    for (const mark of ["", "\ufeff"])
      for (const [sign, end] of [[",", "\n"], [";", "\r\n"], ["\t", "\r"]] as const) {
        const text = `${mark}Part number${sign}Name${sign}Qty${end}HF-1${sign}"seat${sign} long"${sign}2${end}HF-2${sign}tank${sign}1${end}`;
        const rows = rowsOf("parts", utf8(text));
        expect(rows.map(({ value }) => value)).toEqual([{ name: `seat${sign === "\t" ? "" : sign} long`, number: "HF-1", count: "2" }, { name: "tank", number: "HF-2", count: "1" }]);
      }
  });

  it("is read in Latin-1 when it is no UTF-8", () => {
    const latin = new Uint8Array([...utf8("Bezeichnung;Menge\nK"), 0xfc, ...utf8("hler;1\n")]);
    const sheet = readSheet(latin);
    expect(sheet.encoding).toBe("Latin-1");
    expect(rowsOf("parts", latin)[0]!.value).toEqual({ name: "Kühler", count: "1" });
    expect(rowsOf("parts", latin)[0]!.id).toBe("kuhler");
  });

  it("says of each row what is wrong, and takes the others in", () => {
    const rows = rowsOf("parts", utf8("name,qty,renew,mass\nseat,1,never,2.5\n,1,,\ntank,many,,\nseat,1,,\nbolt,1,sometimes,\nchain,1,always,heavy\ncover,1,Inspect,\n"), ["cover"]);
    expect(rows.map(({ line, errors, known }) => [line, errors.length, known])).toEqual([[2, 0, false], [3, 1, false], [4, 1, false], [5, 1, false], [6, 1, false], [7, 1, false], [8, 0, true]]);
    expect(rows[3]!.errors[0]).toContain("line 2");
    expect(rows.filter(({ value }) => value).length).toBe(1);
  });

  it("takes a name of 300 characters and refuses a longer one", () => {
    const rows = rowsOf("parts", utf8(`name\n${"a".repeat(300)}\n${"b".repeat(301)}\n`));
    expect(rows.map(({ errors }) => errors.length)).toEqual([0, 1]);
    expect(rows[0]!.id.length).toBeLessThanOrEqual(80);
  });

  it("gives 5,000 rows ids of their own", () => {
    const rows = rowsOf("parts", utf8(`name,no\n${Array.from({ length: 5000 }, (_, n) => `part ${n % 2 ? "é" : ""} ${n},HF-${n}`).join("\n")}\n`));
    expect(rows.length).toBe(5000);
    expect(new Set(rows.map(({ id }) => id)).size).toBe(5000);
    expect(rows.every(({ value }) => value !== null)).toBe(true);
  });

  it("holds nothing when the file holds nothing", () => {
    for (const text of ["", "\n\n", "name,qty\n"]) expect(rowsOf("parts", utf8(text))).toEqual([]);
  });
});

describe("a torque table", () => {
  const text = "Bolt;Torque;Condition;Source\naxle nut;90 N·m;dry;WS-3\ndrain plug;18 ft-lb;oiled;\nseat bolt;10;dry;WS-1\npump screw;;dry;WS-1\n";

  it("keeps the torque as printed, and never takes a row without figure, unit, source or condition", () => {
    const rows = rowsOf("torques", utf8(text));
    expect(rows[0]!.value).toEqual({ as_published: "90 N·m", condition: "dry", source: "WS-3" });
    expect(rows[0]!.id).toBe("axle_nut_torque");
    expect(rows[1]!.errors).toEqual(["has no source"]);
    expect(rows[2]!.errors[0]).toContain("no torque with its unit");
    expect(rows[3]!.errors[0]).toContain("never guessed");
  });

  it("takes the source of the whole table where a row names none", () => {
    expect(rowsOf("torques", utf8(text), [], "Manual p. 7")[1]!.value).toEqual({ as_published: "18 ft-lb", condition: "oiled", source: "Manual p. 7" });
  });

  const joints = [
    { id: "axle_nut", name: "axle nut", figure: "", thread: "M16x1.5" },
    { id: "drain_plug", name: "Drain plug", figure: "20 N·m", thread: "" },
    { id: "seat_bolts", name: "seat bolts", figure: "", thread: "M6x1" },
  ];
  const attached = (table: string, chosen: [number, string][] = []) => {
    const sheet = readSheet(utf8(table));
    const columns = guessColumns("torques", sheet.head);
    return withJoints(readRows("torques", sheet, columns, new Set(), new Set()), namesOf(sheet, columns), joints, new Map(chosen));
  };

  it("goes to the joint of its name, or to the one chosen, and to none that has a figure", () => {
    const table = "Bolt;Size;Torque;Condition;Source\nAXLE  NUT torque;M16 x 1.5;90 N·m;dry;p. 1\ndrain plug;;18 N·m;dry;p. 1\nsaddle screw;;9 N·m;dry;p. 2\n";
    expect(attached(table).map(({ joint }) => joint)).toEqual(["axle_nut", null, null]);
    expect(attached(table)[1]!.errors).toEqual(["“Drain plug” has a figure already, 20 N·m; change it there"]);
    expect(attached(table, [[4, "seat_bolts"]])[2]!.joint).toBe("seat_bolts");
    expect(attached(table, [[2, ""]])[0]).toMatchObject({ joint: null, errors: [] });
  });

  it("refuses a second row for one joint, and another thread than the joint's", () => {
    const rows = attached("Bolt;Size;Torque;Condition;Source\naxle nut;M16x1.5;90 N·m;dry;p. 1\nseat bolts;M8x1.25;9 N·m;dry;p. 1\n", [[3, "axle_nut"]]);
    expect(rows[1]!.errors.join()).toContain("line 2 is for the same joint");
    const thread = attached("Bolt;Size;Torque;Condition;Source\nseat bolts;M8x1.25;9 N·m;dry;p. 1\n");
    expect(thread[0]!.errors).toEqual(["says the thread M8x1.25; on the map it is M6x1"]);
    expect(thread[0]!.value).toBeNull();
    for (const same of ["M6", "m6 × 1.0", "M6x1.00"]) expect(attached(`Bolt;Size;Torque;Condition;Source\nseat bolts;${same};9 N·m;dry;p. 1\n`)[0]!.joint, same).toBe("seat_bolts");
  });
});

describe("a file", () => {
  it("that is no text is told apart, whatever its name says", () => {
    for (const [start, word] of [[[0x50, 0x4b, 3, 4], "spreadsheet"], [[0x25, 0x50, 0x44, 0x46], "PDF"], [[0x89, 0x50, 0x4e, 0x47], "picture"], [[0x41, 0, 0x42], "no text"]] as const)
      expect(notATable(new Uint8Array([...start, 10, 20, 30]))!.happened).toContain(word);
    expect(notATable(new Uint8Array(11 * 1024 * 1024))!.happened).toContain("11 MB");
    expect(notATable(utf8("name;qty\nseat;1\n"))).toBeNull();
  });

  it("in UTF-16, as some spreadsheet programs save text, is read", () => {
    const text = "name\tqty\nKühler\t1\n";
    const bytes = new Uint8Array([0xff, 0xfe, ...[...text].flatMap((sign) => [sign.charCodeAt(0) & 255, sign.charCodeAt(0) >> 8])]);
    expect(notATable(bytes)).toBeNull();
    expect(readSheet(bytes).encoding).toBe("UTF-16");
    expect(rowsOf("parts", bytes)[0]!.value).toEqual({ name: "Kühler", count: "1" });
  });
});
