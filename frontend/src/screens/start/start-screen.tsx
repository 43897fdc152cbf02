/** Before a job starts: whether it is for this machine, what to have at hand, what must be true, and what can hurt. */
import { Problem } from "../../components/attempt";
import { useLoaded } from "../../components/hooks";
import { Leads, BackPress, Page } from "../../components/page";
import { jobs, library, loadPack, machines, type Machine, type ProcedurePack } from "../../store/bench";
import { variantInWords } from "../../text/bench-words";
import { startWords as words } from "../../text/library-words";
import { guardHolds } from "../../domain/guards";
import { Prepare } from "./prepare";

/** `sha` is the hash of a pack, or the name of a procedure as in a dealer's link. */
export function StartScreen({ sha, machine: id }: { sha: string; machine?: string }) {
  const entry = library.value.entries.find(
    (candidate) => candidate.kind === "procedure" && (candidate.sha256 === sha || candidate.id === sha),
  );
  const hash = /^[0-9a-f]{64}$/.test(sha) ? sha : entry && (library.value.older[entry.sha256]?.sha256 ?? entry.sha256);
  const { value: pack, problem } = useLoaded(hash ?? "", () => (hash ? loadPack(hash) : Promise.resolve(null))).value;
  if (!hash || problem || !pack) return <NotOpen title={entry?.title ?? words.title} known={hash !== undefined} problem={problem} />;
  if (pack.model === null) return <Prepare pack={pack} sha={hash} machine={null} />;
  const machine = machines.value.find((candidate) => candidate.id === id);
  if (!machine) return <ChooseMachine pack={pack} sha={hash} />;
  const name = machineInWords(pack, machine);
  if (machine.model !== pack.model.id || !guardHolds(pack.applies, { year: machine.year, options: machine.options }))
    return <NotForYours pack={pack} machine={machine} name={name} />;
  return <Prepare pack={pack} sha={hash} machine={machine} />;
}

/** "Fell 250, 2023, with skid plate", with the machine's own name before it when that differs. */
export function machineInWords(pack: ProcedurePack, machine: Machine): string {
  const options = (pack.model?.options ?? []).filter(({ id }) => machine.options.includes(id)).map(({ name }) => name.toLowerCase());
  const variant = variantInWords(machine.modelName, machine.year, options);
  return machine.name === machine.modelName ? variant : `${machine.name} (${variant})`;
}

function NotOpen({ title, known, problem }: { title: string; known: boolean; problem: Parameters<typeof Problem>[0]["message"] }) {
  return (
    <Page title={title}>
      <Problem message={problem} />
      {!known && <p class="card">{words.notHere}</p>}
      {known && !problem && <p role="status">{words.opening}</p>}
      <BackPress otherwise="/library" />
    </Page>
  );
}

function ChooseMachine({ pack, sha }: { pack: ProcedurePack; sha: string }) {
  const mine = machines.value.filter(({ model }) => model === pack.model?.id);
  return (
    <Page title={pack.title} sub={pack.summary}>
      <section class="card">
        <h2>{words.choose}</h2>
        <p>{words.otherModel(pack.model?.name ?? "")}</p>
        <ul class="rows">
          {mine.map((machine) => (
            <li key={machine.id}>
              <Leads to={`/procedure/${sha}/for/${machine.id}`} name={machineInWords(pack, machine)} />
            </li>
          ))}
        </ul>
        <a class="press" href="/machine/new">
          {words.addOne}
        </a>
      </section>
      <BackPress otherwise="/library" />
    </Page>
  );
}

function NotForYours({ pack, machine, name }: { pack: ProcedurePack; machine: Machine; name: string }) {
  return (
    <Page title={pack.title} sub={pack.summary}>
      <div class="problem" role="alert">
        <p class="problem-happened">{words.refuses(pack.title, name)}</p>
        {machine.model !== pack.model?.id && <p>{words.otherModel(pack.model?.name ?? "")}</p>}
        <p>{words.refusesWhy}</p>
        <p class="problem-do">{words.refusesDo}</p>
      </div>
      <div class="presses">
        <BackPress otherwise="/library" />
        <a class="press main" href={`/library?${machine.id}`}>
          {words.toLibrary}
        </a>
      </div>
    </Page>
  );
}

export const openJobOn = (sha: string, machine: Machine | null) =>
  jobs.value.find((job) => !job.closed && job.pack === sha && (job.machine?.id ?? null) === (machine?.id ?? null));
