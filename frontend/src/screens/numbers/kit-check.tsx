/** What the carried kit can do of a procedure on this phone: step by step what is there, what replaces what, what is refused. */
import { useSignal } from "@preact/signals";
import { Problem } from "../../components/attempt";
import { SelectField } from "../../components/fields";
import { useLoaded } from "../../components/hooks";
import { Leads, Page } from "../../components/page";
import type { Answer } from "../../domain/answer";
import { forVariant } from "../../domain/bench-state";
import type { KitRow, Need } from "../../domain/kit";
import { kit, library, loadPack, machines, myTools, type ProcedurePack } from "../../store/bench";
import { kitCheckWords as words, toolWords } from "../../text/numbers-words";
import { AnswerView } from "./answer-view";
import type { Calculator, Said } from "./calculator";
import type { Input } from "./fields";

export function KitCheck({ calculator }: { calculator: Calculator }) {
  const chosen = useSignal("");
  const offered = library.value.entries.filter(({ kind, sha256 }) => kind === "procedure" && sha256 in library.value.kept);
  const { value: pack, problem } = useLoaded(chosen.value, async () => (chosen.value === "" ? null : loadPack(chosen.value))).value;
  return (
    <Page title={calculator.title} sub={calculator.line}>
      {offered.length === 0 && <p class="card">{words.none}</p>}
      {offered.length > 0 && (
        <SelectField label={words.procedure} value={chosen.value} onText={(sha) => (chosen.value = sha)} options={[["", words.choose], ...offered.map(({ sha256, title }) => [sha256, title] as [string, string])]} />
      )}
      <Problem message={problem} />
      {pack && <Found key={chosen.value} calculator={calculator} pack={pack} />}
      <section class="card">
        <Leads to="/tools" name={toolWords.title} />
      </section>
    </Page>
  );
}

/** The procedure as it is for one's own machine of that model; without one, with every step. */
function forOwn(pack: ProcedurePack): ProcedurePack {
  const own = machines.value.filter(({ model }) => model === pack.model?.id);
  const [machine] = own;
  return machine && own.length === 1 ? forVariant(pack, { year: machine.year, options: machine.options }) : pack;
}

/** The carried kit; torque wrenches on file are carried only if they stand in it. */
function carried(): Input[] {
  return kit.value.map(({ kind, size_mm, low_nm, high_nm }) => ({ kind, size_mm, low_nm, high_nm }));
}

function Found({ calculator, pack }: { calculator: Calculator; pack: ProcedurePack }) {
  const own = forOwn(pack);
  const answer = calculator.work({ pack: own, kit: carried() }, { machines: [], tools: myTools.value, imperial: false, today: "" });
  return <AnswerView calculator={calculator} answer={answer} said={saidOf(own, answer)} />;
}

function saidOf(pack: ProcedurePack, answer: Answer): Said {
  const rows = answer.values["rows"] as unknown as KitRow[];
  const able = rows.filter(({ verdict }) => verdict === "own" || verdict === "substitute").length;
  const home = (answer.values["check_at_home"] as string[]).map((id) => pack.joints[id]?.name ?? id);
  const short = rows.map((row, n) => ({ row, n })).filter(({ row }) => row.verdict !== "own");
  return {
    hero: { about: words.about, text: String(able), unit: `of ${rows.length} steps` },
    lines: [...(able === rows.length ? [words.all] : []), ...(home.length > 0 ? [words.home(home.join(", "))] : [])],
    below: (
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
    ),
  };
}

function needInWords(pack: ProcedurePack, { tool, verdict, by, joint }: Need): string {
  const name = pack.tools[tool]?.name ?? tool;
  const at = joint === null ? "" : ` (${pack.joints[joint]?.name ?? joint})`;
  return `${words.need[verdict](name, words.by[by ?? ""] ?? "")}${at}`;
}
