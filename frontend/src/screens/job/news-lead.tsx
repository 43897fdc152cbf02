/** That the figures of a job were replaced: how many were used, how many finished steps nobody has answered for, and the way there. */
import { Leads } from "../../components/page";
import type { JobSummary } from "../../store/bench";
import { newsWords as words } from "../../text/job-words";

export function NewsLead({ job }: { job: JobSummary }) {
  if (!job.superseded || !job.changed) return null;
  const { used, left } = job.changed;
  return (
    <Leads to={`/job/${job.job}/changes`} name={words.lead(job.superseded.revision)}>
      <span class="row-line small">{words.means(used, left)}</span>
    </Leads>
  );
}
