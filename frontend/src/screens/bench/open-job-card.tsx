/** An open job on the bench: where it stands, and on top what is loose, off and drained. */
import { Problem } from "../../components/attempt";
import { Icon } from "../../components/icon";
import type { JobSummary } from "../../store/bench";
import { benchWords as words } from "../../text/bench-words";
import { resumeWords } from "../../text/job-words";
import { sentence, someOf, whenInWords } from "../../text/say";
import { AnswerLead } from "../job/answer-lead";
import { NewsLead } from "../job/news-lead";
import { useJob } from "../job/job-view";

export function OpenJobCard({ job }: { job: JobSummary }) {
  const { view, problem } = useJob(job.job);
  const rows: [string, string[]][] = view
    ? [
        [resumeWords.loose, view.loose],
        [resumeWords.off, view.off],
        [resumeWords.drained, view.drained],
      ]
    : [];
  const some = rows.filter(([, names]) => names.length > 0);
  const at = view?.steps.findIndex(({ id }) => id === view.fold.place) ?? -1;
  return (
    <section class="card hung">
      {some.map(([word, names]) => (
        <p key={word} class="job-left">
          <strong>
            {word} ({names.length}):
          </strong>{" "}
          {someOf(names)}
        </p>
      ))}
      {view && some.length === 0 && <p class="soft">{words.allClear}</p>}
      <h3>{job.title}</h3>
      <p class="soft">{[job.machine?.name, words.goOnTo(job.done, job.total), whenInWords(job.lastWall)].filter(Boolean).join(", ")}</p>
      {view && at >= 0 && <p>{sentence(view.steps[at]?.say ?? "")}</p>}
      {job.superseded && !job.changed && <p>{words.newerFigures(job.superseded.revision)}</p>}
      <AnswerLead job={job} />
      <NewsLead job={job} />
      <Problem message={problem} />
      <a class="press main" href={`/job/${job.job}`}>
        <Icon name="open" />
        {words.resume}
      </a>
    </section>
  );
}
