/** The list of all numbers in the trade's own groups, each with one line that says what it answers. */
import type { ComponentType } from "preact";
import { Leads, Page } from "../../components/page";
import { sheet } from "../../components/where";
import { GROUPS, numbersWords as words, type Group } from "../../text/numbers-words";
import { calculators } from "./registry";

/** `ofStep`: what a step of the running job already knows, when the address names one. */
export function NumbersRoom({ ofStep: OfStep }: { ofStep: ComponentType<{ job: string; step: string }> }) {
  const told = new URLSearchParams(sheet.value);
  const [job, step] = [told.get("job"), told.get("step")];
  if (job !== null && step !== null) return <OfStep job={job} step={step} />;
  return (
    <Page title={words.title} sub={words.sub}>
      <section class="card">
        <Leads to="/tools" name={words.tools}>
          <span class="row-line small soft">{words.toolsLine}</span>
        </Leads>
      </section>
      {(Object.keys(GROUPS) as Group[]).map((group) => (
        <section key={group} class="card">
          <h2>{GROUPS[group]}</h2>
          <ul class="rows">
            {calculators().filter((each) => each.group === group).map(({ name, title, line }) => (
              <li key={name}>
                <Leads to={`/numbers/${name}`} name={title}>
                  <span class="row-line small soft">{line}</span>
                </Leads>
              </li>
            ))}
          </ul>
        </section>
      ))}
    </Page>
  );
}
