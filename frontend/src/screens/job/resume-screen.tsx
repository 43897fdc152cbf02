/** Opening a job: lands at its place with what is loose on top; at close-out when no step is open. */
import { useEffect } from "preact/hooks";
import { go } from "../../components/where";
import { stepWords as words } from "../../text/job-words";
import { JobGate } from "./job-gate";
import { useJob, type JobView } from "./job-view";
import { pathOf } from "./step-way";

export function ResumeScreen({ job }: { job: string }) {
  return <JobGate loaded={useJob(job)}>{(view) => <Landing view={view} />}</JobGate>;
}

function Landing({ view }: { view: JobView }) {
  useEffect(() => {
    const place = view.fold.place;
    const begun = Object.keys(view.fold.done).length + Object.keys(view.fold.skipped).length > 0;
    if (place === null || view.closed) go(`/job/${view.job}/close`, true);
    else go(`${pathOf(view.job, place)}${begun || view.fold.paused ? "?resume" : ""}`, true);
  }, []);
  return <p role="status">{words.opening}</p>;
}
