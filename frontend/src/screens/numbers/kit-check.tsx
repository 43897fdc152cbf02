/** What the carried kit can do of each procedure on this phone: step by step what is there, what replaces what, what is refused. */
import { useSignal } from "@preact/signals";
import { useMemo } from "preact/hooks";
import { Problem, useAttempt } from "../../components/attempt";
import { SelectField } from "../../components/fields";
import { useLoaded } from "../../components/hooks";
import { Leads, Page } from "../../components/page";
import { say } from "../../components/said";
import { go, path, sheet } from "../../components/where";
import type { Answer } from "../../domain/answer";
import { forVariant } from "../../domain/bench-state";
import type { KitRow, Need } from "../../domain/kit";
import { KitStrip } from "../../drawings/kit-strip";
import { kit, library, loadPack, machines, setKit, type Machine, type ProcedurePack } from "../../store/bench";
import { kitCheckWords as words, toolWords } from "../../text/numbers-words";
import { AnswerView } from "./answer-view";
import { aroundNow } from "./around";
import type { Calculator, Said } from "./calculator";
import type { Input } from "./fields";

export function KitCheck({ calculator }: { calculator: Calculator }) {
  const chosen = new URLSearchParams(sheet.value).get("pack") ?? "";
  const offered = library.value.entries.filter(({ kind, sha256 }) => kind === "procedure" && sha256 in library.value.kept);
  const { value: pack, problem } = useLoaded(chosen, async () => (chosen === "" ? null : loadPack(chosen))).value;
  const choose = (sha: string) => go(sha === "" ? path.value : `${path.value}?pack=${sha}`, true);
  return (
    <Page title={calculator.title} sub={calculator.line}>
      {offered.length === 0 && <p class="card">{words.none}</p>}
      {offered.length > 0 && (
        <SelectField label={words.procedure} value={chosen} onText={choose} options={[["", words.choose], ...offered.map(({ sha256, title }) => [sha256, title] as [string, string])]} />
      )}
      <Problem message={problem} />
      {pack && chosen !== "" && <Found key={chosen} calculator={calculator} pack={pack} />}
      {chosen === "" && offered.length > 0 && <EachProcedure calculator={calculator} offered={offered.map(({ sha256 }) => sha256)} />}
      <section class="card">
        <Leads to="/tools" name={toolWords.title} />
      </section>
    </Page>
  );
}

/** Every procedure kept on this phone with what the kit can do of it, one after the other. */
function EachProcedure({ calculator, offered }: { calculator: Calculator; offered: string[] }) {
  const { value: packs, problem } = useLoaded(offered.join(), () => Promise.all(offered.map(async (sha) => ({ sha, pack: await loadPack(sha) })))).value;
  if (problem) return <Problem message={problem} />;
  if (!packs) return <p role="status">{words.looking}</p>;
  return (
    <section class="card">
      <h2>{words.each}</h2>
      <ul class="rows">
        {packs.map(({ sha, pack }) => {
          const own = forOwn(pack, ownOf(pack)[0] ?? null);
          const rows = rowsOf(answerFor(calculator, own));
          return (
            <li key={sha}>
              <Leads to={`/numbers/kit-check?pack=${sha}`} name={pack.title}>
                <span class="row-line small soft">{[pack.model?.name, words.able(rows.filter(isAble).length, rows.length), refusedIn(rows)].filter(Boolean).join(", ")}</span>
              </Leads>
            </li>
          );
        })}
      </ul>
    </section>
  );
}

const rowsOf = (answer: Answer): KitRow[] => answer.values["rows"] as unknown as KitRow[];
const isAble = ({ verdict }: KitRow): boolean => verdict === "own" || verdict === "substitute";

function refusedIn(rows: readonly KitRow[]): string {
  const refused = rows.filter(({ verdict }) => verdict === "refused").length;
  return refused > 0 ? words.refusedCount(refused) : "";
}

/** One's own machines that the procedure is for. */
const ownOf = (pack: ProcedurePack): Machine[] => machines.value.filter(({ model }) => model === pack.model?.id);

/** The procedure as it is for one machine; without one, with every step. */
const forOwn = (pack: ProcedurePack, machine: Machine | null): ProcedurePack => (machine ? forVariant(pack, { year: machine.year, options: machine.options }) : pack);

/** The carried kit. A tool taken over from a procedure counts there by its id, and elsewhere only where the same id has the same name. */
function carriedFor(pack: ProcedurePack): Input[] {
  return kit.value.map(({ kind, size_mm, low_nm, high_nm, name, tool }) => ({ kind, size_mm, low_nm, high_nm, tool: tool && pack.tools[tool]?.name === name ? tool : null }));
}

const answerFor = (calculator: Calculator, pack: ProcedurePack): Answer => calculator.work({ pack, kit: carriedFor(pack) }, aroundNow());

function Found({ calculator, pack }: { calculator: Calculator; pack: ProcedurePack }) {
  const mine = ownOf(pack);
  const chosen = useSignal(mine[0]?.id ?? "");
  const own = useMemo(() => forOwn(pack, mine.find(({ id }) => id === chosen.value) ?? null), [pack, chosen.value]);
  const answer = answerFor(calculator, own);
  return (
    <>
      {mine.length > 1 && <SelectField label={words.machine} value={chosen.value} onText={(id) => (chosen.value = id)} options={mine.map(({ id, name }) => [id, name])} />}
      <AnswerView calculator={calculator} answer={answer} said={saidOf(own, answer)} />
    </>
  );
}

export function saidOf(pack: ProcedurePack, answer: Answer): Said {
  const rows = rowsOf(answer);
  const able = rows.filter(isAble).length;
  const home = (answer.values["check_at_home"] as string[]).map((id) => pack.joints[id]?.name ?? id);
  const short = rows.map((row, n) => ({ row, n })).filter(({ row }) => row.verdict !== "own");
  return {
    hero: { about: words.about, text: String(able), unit: `of ${rows.length} steps` },
    lines: [...(able === rows.length ? [words.all] : []), ...(home.length > 0 ? [words.home(home.join(", "))] : [])],
    drawing: <KitStrip marks={rows.map(({ verdict }) => verdict)} />,
    below: (
      <>
        <ul class="rows">
          {short.map(({ row, n }) => (
            <li key={row.step}>
              <p class="answer-about">{words.step(n + 1, pack.steps[n]?.say ?? row.step)}</p>
              {row.needs.filter(({ verdict }) => verdict !== "own").map((need, at) => (
                <p key={at}>{needInWords(pack, need)}</p>
              ))}
            </li>
          ))}
        </ul>
        <Lacking pack={pack} ids={answer.values["missing"] as string[]} />
      </>
    ),
  };
}

/** What is missing, each with the press that puts it into the kit: so a special tool is noted without typing. */
function Lacking({ pack, ids }: { pack: ProcedurePack; ids: string[] }) {
  const attempt = useAttempt();
  const lacking = ids.flatMap((id) => (pack.tools[id] ? [{ id, ...pack.tools[id] }] : []));
  if (lacking.length === 0) return null;
  const carry = async ({ id, name, kind, low_nm, high_nm }: (typeof lacking)[number]) => {
    if (await attempt.run(() => setKit([...kit.peek(), { tool: id, name, kind: kind ?? "unknown", size_mm: null, low_nm, high_nm }]))) say(toolWords.saved);
  };
  return (
    <>
      <p class="answer-about">{words.lacking}</p>
      <Problem message={attempt.problem.value} />
      <ul class="rows">
        {lacking.map((tool) => (
          <li key={tool.id} class="amount-line">
            <span>{tool.name}</span>
            <button type="button" class="press" disabled={attempt.busy.value} aria-label={words.carryNamed(tool.name)} onClick={() => carry(tool)}>
              {words.carry}
            </button>
          </li>
        ))}
      </ul>
    </>
  );
}

function needInWords(pack: ProcedurePack, { tool, verdict, by, joint }: Need): string {
  const name = pack.tools[tool]?.name ?? tool;
  const at = joint === null ? "" : ` (${pack.joints[joint]?.name ?? joint})`;
  return `${words.need[verdict](name, words.by[by ?? ""] ?? "")}${at}`;
}
