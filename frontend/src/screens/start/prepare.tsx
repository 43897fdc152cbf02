/** The list to tick before a job starts. Ticks are kept as typed text is, and become part of the job when it starts. */
import { useSignal } from "@preact/signals";
import { useEffect, useMemo } from "preact/hooks";
import { Problem, useAttempt, type Attempt } from "../../components/attempt";
import { CautionCard, worstFirst } from "../../components/caution-card";
import { Choice, ChoiceField, focusFirstError, TextField } from "../../components/fields";
import { BackPress, Page } from "../../components/page";
import { say } from "../../components/said";
import { go } from "../../components/where";
import { clearDraft, readDraft, record, startJob, writeDraft, type Machine, type ProcedurePack } from "../../store/bench";
import { machineWords } from "../../text/bench-words";
import { stepWords } from "../../text/job-words";
import { safetyInWords, startWords as words } from "../../text/library-words";
import { Beside } from "../beside/door";
import { hoursOf } from "../machine/machine-facts";
import { preparation, type Preparation } from "./preparation";
import { machineInWords, openJobOn } from "./start-screen";

type Props = { pack: ProcedurePack; sha: string; machine: Machine | null };

export function Prepare({ pack, sha, machine }: Props) {
  const attempt = useAttempt();
  const prepared = useMemo(() => preparation(pack, machine), [pack, machine]);
  const safety = safetyInWords(pack.safety);
  return (
    <Page title={pack.title} sub={pack.summary} act={<StartActs busy={attempt.busy.value} />}>
      <p class="big">{machine ? words.fits(machineInWords(pack, machine)) : words.fitsAny}</p>
      {pack.invented && <p class="card">{words.invented}</p>}
      <OpenAlready sha={sha} machine={machine} />
      <section class="card">
        <p>
          {words.steps(prepared.steps, prepared.minutes)}. {words.people(pack.people)}. {safety && `${safety}. `}
          {pack.skill}
        </p>
        <p class="small soft">
          {words.author(pack.author, pack.revision, pack.issued)} {pack.change_note}
        </p>
      </section>
      <section class="card">
        <h2>{words.stop}</h2>
        <p>{pack.stop_and_ask}</p>
      </section>
      <Conditions prepared={prepared} />
      {prepared.cautions.length > 0 && <h2>{words.cautions}</h2>}
      {worstFirst(prepared.cautions).map((caution) => (
        <CautionCard key={caution.id} caution={caution} />
      ))}
      {pack.disposal && (
        <section class="card">
          <h2>{words.disposal}</h2>
          <p>{pack.disposal}</p>
        </section>
      )}
      <Beside show={({ ComesOffBefore }) => <ComesOffBefore pack={pack} machine={machine} />} meanwhile={null} />
      {machine && pack.also && <Beside show={({ AlsoNow }) => <AlsoNow pack={pack} machine={machine} />} meanwhile={null} />}
      <Begin sha={sha} machine={machine} prepared={prepared} attempt={attempt} />
    </Page>
  );
}

function OpenAlready({ sha, machine }: Omit<Props, "pack">) {
  const open = openJobOn(sha, machine);
  if (!open) return null;
  return (
    <section class="card">
      <p>{words.openAlready}</p>
      <a class="press main" href={`/job/${open.job}`}>
        {words.openGo}
      </a>
    </section>
  );
}

function Conditions({ prepared }: { prepared: Preparation }) {
  return (
    <section class="card">
      <h2>{words.conditions}</h2>
      <ul class="rows">
        {prepared.conditions.length === 0 && <li>{words.none}</li>}
        {prepared.conditions.map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ul>
    </section>
  );
}

function StartActs({ busy }: { busy: boolean }) {
  return (
    <>
      <BackPress otherwise="/library" />
      <button type="submit" form="start-form" class="press main grow" disabled={busy}>
        {busy ? words.starting : words.start}
      </button>
    </>
  );
}

function Begin({ sha, machine, prepared, attempt }: Omit<Props, "pack"> & { prepared: Preparation; attempt: Attempt }) {
  const key = `prepare:${sha}:${machine?.id ?? ""}`;
  const ticked = useSignal<string[]>([]);
  const hours = useSignal(machine?.hours == null ? "" : String(machine.hours));
  const wrong = useSignal(false);
  useEffect(() => {
    void readDraft(key).then((text) => text && (ticked.value = text.split("\n")));
  }, [key]);
  const tick = (item: string, on: boolean) => {
    ticked.value = on ? [...ticked.value, item] : ticked.value.filter((each) => each !== item);
    writeDraft(key, ticked.value.join("\n"));
  };
  const all = prepared.lists.flatMap(({ items }) => items);
  const have = all.filter(({ id }) => ticked.value.includes(id));
  const start = async (event: Event) => {
    event.preventDefault();
    const run = hoursOf(hours.value);
    wrong.value = run === "wrong";
    if (run === "wrong") return focusFirstError();
    await attempt.run(async () => {
      const job = await startJob(machine?.id ?? null, sha, run);
      for (const { id } of have) await record(job, "PrepTicked", { item: id, ticked: true });
      await clearDraft(key);
      say(stepWords.saved);
      go(`/job/${job}`, true);
    });
  };
  return (
    <form id="start-form" class="stack" onSubmit={start} noValidate>
      <h2>{words.have}</h2>
      {prepared.lists.map(({ name, items }) => (
        <ChoiceField key={name} label={name}>
          {items.length === 0 && <p>{words.none}</p>}
          {items.map(({ id, text, more }) => (
            <Choice key={id} kind="checkbox" checked={ticked.value.includes(id)} onPick={(on) => tick(id, on)}>
              {text}
              {more && <span class="row-line small soft">{more}</span>}
            </Choice>
          ))}
        </ChoiceField>
      ))}
      <p role="status">{words.ticked(have.length, all.length)}</p>
      {machine && (
        <TextField
          label={words.hours}
          hint={machineWords.hoursHint}
          error={wrong.value ? machineWords.hoursWrong : null}
          value={hours.value}
          numeric
          max={12}
          onText={(text) => (hours.value = text)}
        />
      )}
      <Problem message={attempt.problem.value} />
    </form>
  );
}
