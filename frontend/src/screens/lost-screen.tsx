/** An address that no screen answers. */
import { Page } from "../components/page";
import { path } from "../components/where";
import { lostWords as words } from "../text/bench-words";

export function LostScreen() {
  return (
    <Page title={words.title}>
      <div class="problem">
        <p class="problem-happened">{words.happened(path.value)}</p>
        <p>{words.means}</p>
        <p class="problem-do">{words.do}</p>
      </div>
      <a class="press main" href="/">
        {words.go}
      </a>
    </Page>
  );
}
