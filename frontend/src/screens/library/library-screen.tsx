/** The library: what the dealer publishes, how much of it is on this phone, and how old its figures are. */
import { useSignal } from "@preact/signals";
import { Problem, useAttempt } from "../../components/attempt";
import { Choice, ChoiceField, SelectField, TextField } from "../../components/fields";
import { Icon } from "../../components/icon";
import { Leads, Page } from "../../components/page";
import { go, sheet } from "../../components/where";
import {
  chooseDealer,
  keepOnPhone,
  library,
  machines,
  refreshLibrary,
  stopKeeping,
  type Machine,
  type ManifestPack,
} from "../../store/bench";
import { libraryWords as words, safetyInWords } from "../../text/library-words";
import { amountInWords } from "../../text/say";
import { fits, shelves, type Scope, type Shelf } from "./library-list";

export function LibraryScreen() {
  const search = useSignal("");
  const scope = scopeFrom(sheet.value);
  const found = shelves(library.value, scope, search.value.trim());
  const empty = library.value.entries.length === 0;
  return (
    <Page title={words.title} sub={words.checked(library.value.checkedAt, library.value.age, library.value.ageDays)}>
      <Problem message={library.value.problem} />
      {!empty && (
        <TextField label={words.find} hint={words.findHint} value={search.value} max={80} onText={(text) => (search.value = text)} />
      )}
      {machines.value.length > 0 && !empty && <ScopeChoice scope={scope} />}
      {empty && <p class="card">{words.none}</p>}
      {!empty && found.length === 0 && <p class="card">{words.noMatch(search.value.trim())}</p>}
      {found.map((shelf) => (
        <ShelfCard key={shelf.model} shelf={shelf} machine={typeof scope === "object" ? scope : null} />
      ))}
      <Freshness />
      <Dealers />
    </Page>
  );
}

const scopeFrom = (id: string): Scope => (id === "anywhere" ? "anywhere" : (machines.value.find((machine) => machine.id === id) ?? "all"));

function ScopeChoice({ scope }: { scope: Scope }) {
  const own = machines.value.map((machine): [string, string] => [machine.id, machine.name]);
  const value = typeof scope === "object" ? scope.id : scope === "anywhere" ? scope : "";
  return (
    <SelectField
      label={words.forMachine}
      value={value}
      options={[...own, ["anywhere", words.anywhere], ["", words.all]]}
      onText={(id) => go(id ? `/library?${id}` : "/library", true)}
    />
  );
}

/** Asking the dealer for what is current; the answer, or why there is none, in words. */
function Freshness() {
  const attempt = useAttempt();
  return (
    <>
      <Problem message={attempt.problem.value} />
      <button type="button" class="press" disabled={attempt.busy.value} onClick={() => attempt.run(refreshLibrary)}>
        {attempt.busy.value ? words.checking : words.refresh}
      </button>
    </>
  );
}

function ShelfCard({ shelf, machine }: { shelf: Shelf; machine: Machine | null }) {
  return (
    <section class="card">
      <h2>{shelf.model === null ? words.anywhere : shelf.name}</h2>
      <ul class="rows">
        {shelf.entries.map((entry) => (
          <li key={entry.sha256}>
            <EntryRow entry={entry} machine={entry.model === null ? null : machine} />
          </li>
        ))}
      </ul>
      <Keeping shelf={shelf} />
    </section>
  );
}

function EntryRow({ entry, machine }: { entry: ManifestPack; machine: Machine | null }) {
  const { kept, older } = library.value;
  const earlier = older[entry.sha256];
  const safety = safetyInWords(entry.safety);
  return (
    <Leads to={`/procedure/${entry.sha256}${machine ? `/for/${machine.id}` : ""}`} name={entry.title}>
      <span class="row-line">{entry.summary}</span>
      <span class="row-line small soft">
        {words.issued(entry.revision, entry.issued)}
        {safety && `. ${safety}`}
        {!(entry.sha256 in kept) && `. ${earlier ? words.older(earlier) : words.notKept}`}
      </span>
      {machine && !fits(entry, machine) && <strong class="row-line">{words.notYours}</strong>}
    </Leads>
  );
}

function Keeping({ shelf }: { shelf: Shelf }) {
  const attempt = useAttempt();
  const { progress } = library.value;
  const whole = shelf.kept === shelf.all;
  return (
    <>
      <p>{words.onPhone(shelf.kept, shelf.keptBytes)}</p>
      {attempt.busy.value && progress && <Amount progress={progress} />}
      <Problem message={attempt.problem.value} />
      {!whole && !attempt.busy.value && (
        <button type="button" class="press main" disabled={progress !== null} onClick={() => attempt.run(() => keepOnPhone(shelf.model))}>
          {shelf.kept === 0 ? words.keep : words.goOnKeeping}
        </button>
      )}
    </>
  );
}

function Amount({ progress }: { progress: { done: number; total: number; bytes: number; totalBytes: number } }) {
  const part = progress.totalBytes > 0 ? progress.bytes / progress.totalBytes : 0;
  return (
    <>
      <svg class="bar-amount" viewBox="0 0 100 10" preserveAspectRatio="none" aria-hidden="true">
        <rect width={100 * part} height="10" />
      </svg>
      <p role="status">{amountInWords(progress.done, progress.total, "file", progress.bytes, progress.totalBytes)}</p>
      <button type="button" class="press" onClick={stopKeeping}>
        <Icon name="stop" />
        {words.stop}
      </button>
    </>
  );
}

function Dealers() {
  const { dealer, choices } = library.value;
  const attempt = useAttempt();
  if (choices.length < 2) return null;
  return (
    <ChoiceField label={words.dealer}>
      {choices.map(({ slug, name }) => (
        <Choice
          key={slug}
          kind="radio"
          name="dealer"
          checked={dealer?.slug === slug}
          onPick={() => void attempt.run(() => chooseDealer(slug))}
        >
          {name}
        </Choice>
      ))}
      <Problem message={attempt.problem.value} />
    </ChoiceField>
  );
}
