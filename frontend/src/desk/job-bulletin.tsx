// On the page of a job: what has changed since the revision that it follows, the figures used and the answers given.
import { answerInWords, bulletinWords as words, type Answer, type Seen } from "./bulletin-words";

type Change = { id: string; severity: string; words: string; used: boolean };
type ChangedStep = { step: string; say: string; added: boolean; changes: string[]; answer: Answer | null };
export type BulletinOfJob = { revision: number; text: string; issued_at: string; changes: Change[]; steps: ChangedStep[]; seen: Seen | null };

const Sentences = ({ of }: { of: Change[] }) => (
  <ul class="changes">
    {of.map((change) => (
      <li key={change.id} class={change.severity === "safety" ? "look-word" : ""}>
        {change.words}
      </li>
    ))}
  </ul>
);

function StepAnswered({ step, changes }: { step: ChangedStep; changes: Change[] }) {
  return (
    <li>
      {step.added && words.added}
      {step.say}
      <span class="quiet">
        {" "}
        {changes
          .filter(({ id }) => step.changes.includes(id))
          .map((change) => change.words)
          .join(" ")}
      </span>
      <br />
      {step.answer ? answerInWords(step.answer) : <span class="look-word">{words.noAnswer}</span>}
    </li>
  );
}

export function JobBulletin({ from, bulletin }: { from: number; bulletin: BulletinOfJob }) {
  const used = bulletin.changes.filter((change) => change.used);
  const others = bulletin.changes.filter((change) => !change.used);
  const asks = bulletin.steps.some((step) => step.answer === null) || (used.length > 0 && bulletin.seen === null);
  return (
    <section class={asks ? "card look" : "card"} aria-labelledby="job-bulletin">
      <h2 id="job-bulletin">{words.onJob(from, bulletin.revision)}</h2>
      {bulletin.text && <p class="as-lines">{bulletin.text}</p>}
      <p class={bulletin.seen ? "" : "look-word"}>{words.readBy(bulletin.seen)}</p>
      <h3>{words.usedHere}</h3>
      {used.length > 0 ? <Sentences of={used} /> : <p class="quiet">{words.usedNone}</p>}
      <h3>{words.steps}</h3>
      {bulletin.steps.length === 0 ? (
        <p class="quiet">{words.stepsNone}</p>
      ) : (
        <ul class="changes">
          {bulletin.steps.map((step) => (
            <StepAnswered key={step.step} step={step} changes={bulletin.changes} />
          ))}
        </ul>
      )}
      {others.length > 0 && (
        <details>
          <summary>
            {words.others}: {others.length}
          </summary>
          <Sentences of={others} />
        </details>
      )}
    </section>
  );
}
