/** That the dealer has answered in a job and nobody has called it read yet, with the way there. */
import { Leads } from "../../components/page";
import type { JobSummary } from "../../store/bench";
import { answerWords as words } from "../../text/job-words";

export function AnswerLead({ job }: { job: JobSummary }) {
  return job.unread > 0 ? <Leads to={`/job/${job.job}/notes`} name={words.fresh(job.unread)} /> : null;
}
