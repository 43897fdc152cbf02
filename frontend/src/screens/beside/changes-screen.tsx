/** The address of what changed since a job's revision; what stands there comes with the piece beside the job. */
import { JobGate } from "../job/job-gate";
import { useJob } from "../job/job-view";
import { Beside } from "./door";

export function ChangesScreen({ job }: { job: string }) {
  return <JobGate loaded={useJob(job)}>{(view) => <Beside show={({ ChangesRoom }) => <ChangesRoom view={view} />} />}</JobGate>;
}
