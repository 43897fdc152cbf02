/** Stands before every screen of a job: opening it, or saying why it cannot be opened. */
import type { ComponentChildren } from "preact";
import { Problem } from "../../components/attempt";
import { jobs } from "../../store/bench";
import { lostWords } from "../../text/bench-words";
import { stepWords as words } from "../../text/job-words";
import type { LoadedJob } from "./job-view";

export function JobGate({
  loaded,
  children,
}: {
  loaded: LoadedJob;
  children: (view: NonNullable<LoadedJob["view"]>) => ComponentChildren;
}) {
  if (loaded.view) return <>{children(loaded.view)}</>;
  const known = jobs.value.some(({ job }) => job === loaded.job);
  return (
    <main class="page-body">
      {!known ? (
        <Problem message={{ code: "", values: {}, ...words.unknownJob }} />
      ) : loaded.problem ? (
        <Problem message={loaded.problem} />
      ) : (
        <p role="status">{words.opening}</p>
      )}
      {(!known || loaded.problem) && (
        <a class="press main" href="/">
          {lostWords.go}
        </a>
      )}
    </main>
  );
}
