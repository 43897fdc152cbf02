/** An answer of the dealer: to what, in which words, and the presses that say it was read or write back. */
import { Problem, useAttempt } from "../../components/attempt";
import { Icon } from "../../components/icon";
import { say } from "../../components/said";
import { record } from "../../store/bench";
import { answerCardWords as words } from "../../text/beside-words";
import { stepWords } from "../../text/job-words";
import { whenInWords } from "../../text/say";
import type { JobView, Reply } from "../job/job-view";

export function AnswersAt({ view, step }: { view: JobView; step: string }) {
  return (
    <>
      {view.fold.replies
        .filter((reply) => reply.step === step)
        .map((reply) => (
          <section key={reply.event} class="card">
            <AnswerCard view={view} reply={reply} />
          </section>
        ))}
    </>
  );
}

export function AnswerCard({ view, reply }: { view: JobView; reply: Reply }) {
  const attempt = useAttempt();
  const seen = view.fold.replies_seen[reply.event];
  const about = aboutWhat(view, reply);
  const read = async () => {
    if (await attempt.run(() => record(view.job, "ReplySeen", { reply: reply.event }))) say(stepWords.saved);
  };
  const place = view.steps.some(({ id }) => id === reply.step) ? `/job/${view.job}/step/${encodeURIComponent(reply.step!)}` : `/job/${view.job}/notes`;
  return (
    <div class="answer">
      <h3>{seen ? words.title : words.fresh}</h3>
      {about && <p class="small soft">{about}</p>}
      <p class="written">{reply.text}</p>
      <p class="small soft">{[words.by(reply.by, whenInWords(reply.wall)), seen && words.wasRead(whenInWords(seen.wall))].filter(Boolean).join(". ")}</p>
      <Problem message={attempt.problem.value} />
      <div class="presses">
        <a class="press" href={`${place}?note`}>
          <Icon name="note" />
          {words.writeBack}
        </a>
        {!seen && (
          <button type="button" class="press main" disabled={attempt.busy.value} onClick={read}>
            {words.read}
          </button>
        )}
      </div>
    </div>
  );
}

/** What the answer is to, in the words that were written then; null for the whole job or a step. */
function aboutWhat({ fold }: JobView, { to }: Reply): string | null {
  if (to === null) return null;
  const is = ({ event }: { event: string }) => event === to;
  const note = fold.notes.find(is);
  if (note) return words.to(note.text);
  if (fold.readings.some(is)) return words.toEntry.reading;
  if (fold.photos.some(is)) return words.toEntry.photo;
  return Object.values(fold.skipped).some(is) ? words.toEntry.skip : words.toEntry.other;
}
