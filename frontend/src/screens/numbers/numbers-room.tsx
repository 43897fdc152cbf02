/** The list of all numbers in the trade's own groups, each with one line that says what it answers. */
import { Leads, Page } from "../../components/page";
import { GROUPS, numbersWords as words, type Group } from "../../text/numbers-words";
import { CALCULATORS } from "./all";

export function NumbersRoom() {
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
            {CALCULATORS.filter((each) => each.group === group).map(({ name, title, line }) => (
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
