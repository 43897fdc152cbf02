/** What a person needs to know first after putting the phone away: what is loose, off, drained, still on. */
import { resumeWords as words, stepWords } from "../../text/job-words";
import { listed } from "../../text/say";
import { AnswerLead } from "./answer-lead";
import { NewsLead } from "./news-lead";
import type { JobView } from "./job-view";

export function ResumePanel({ view, at }: { view: JobView; at: number }) {
  const rows: [string, string[]][] = [
    [words.loose, view.loose],
    [words.off, view.off],
    [words.drained, view.drained],
    [words.aids, view.aids],
  ];
  const some = rows.filter(([, names]) => names.length > 0);
  return (
    <section class="card hung resume" aria-label={words.title(at + 1, view.steps.length)}>
      <h2>{words.title(at + 1, view.steps.length)}</h2>
      <p class="soft">{words.paused(view.summary.lastWall)}</p>
      {view.summary.superseded && !view.news && <p>{stepWords.newerOut(view.summary.superseded.revision)}</p>}
      <AnswerLead job={view.summary} />
      <NewsLead job={view.summary} />
      {some.length === 0 && <p>{words.nothing}</p>}
      {some.map(([word, names]) => (
        <p key={word}>
          <strong>
            {word} ({names.length}):
          </strong>{" "}
          {listed(names)}
        </p>
      ))}
    </section>
  );
}
