/** A job that the dealer prepared for one machine: what it is, and one press that begins it. The link needs a connection once. */
import { Problem, useAttempt } from "../../components/attempt";
import { useLoaded } from "../../components/hooks";
import { BackPress, Page } from "../../components/page";
import { go, where } from "../../components/where";
import { addMachine, changeMachine, chooseDealer, library, machines, openJobLink, refreshLibrary, type OpenedLink } from "../../store/bench";
import { jobLinkWords as words } from "../../text/job-link-words";

export function JobLinkRoom() {
  const token = where.peek().hash;
  const { value: opened, problem } = useLoaded(token, () => openJobLink(token)).value;
  const attempt = useAttempt();
  if (!opened) {
    return (
      <Page title={words.title}>
        {problem ? <Problem message={problem} /> : <p role="status">{words.asking}</p>}
        <div class="presses">
          <BackPress otherwise="/" />
          {problem?.code === "library_not_reached" && (
            <button type="button" class="press main" onClick={() => location.reload()}>
              {words.again}
            </button>
          )}
        </div>
      </Page>
    );
  }
  const { machine, title, dealer_name: dealer } = opened;
  const begin = () => attempt.run(async () => go(await takeLinked(opened), true));
  return (
    <Page title={title} sub={words.from(dealer)}>
      <section class="card">
        <h2>{machine.name}</h2>
        <p>{words.machine(machine.model_name, machine.year, machine.hours)}</p>
        <p class="small soft">{words.kept}</p>
      </section>
      <Problem message={attempt.problem.value} />
      <div class="presses">
        <BackPress otherwise="/" />
        <button type="button" class="press main grow" disabled={attempt.busy.value} onClick={begin}>
          {attempt.busy.value ? words.opening : words.begin}
        </button>
      </div>
    </Page>
  );
}

/** Takes the link's machine onto this phone, or brings the one that is here up to its hours; answers where the job begins. */
async function takeLinked({ dealer, procedure, machine }: OpenedLink): Promise<string> {
  if (library.peek().dealer?.slug !== dealer) await chooseDealer(dealer);
  else await refreshLibrary();
  const { id, name, model, model_name: modelName, year, options, hours } = machine;
  if (model === null || year === null) return `/procedure/${encodeURIComponent(procedure)}`;
  const here = machines.peek().find((one) => one.id === id);
  if (!here) await addMachine({ name, model, modelName: modelName ?? model, year, options, hours, serial: null }, id);
  else if (hours !== null && (here.hours === null || here.hours < hours)) await changeMachine(id, { hours });
  return `/procedure/${encodeURIComponent(procedure)}/for/${encodeURIComponent(id)}`;
}
