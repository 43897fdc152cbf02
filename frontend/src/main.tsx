/** Opens the data of this phone, then shows the screen the address asks for. */
import "./styles/card.css";
import "./styles/press.css";
import "./styles/caution.css";
import "./styles/job.css";
import "./styles/job-sheet.css";
import "./styles/drawings.css";
import "@preact/signals";
import { render } from "preact";
import { Problem, shownOf } from "./components/attempt";
import { useLoaded } from "./components/hooks";
import { awaitInstallOffer } from "./components/install";
import { watchAway } from "./components/away";
import { followAddress } from "./components/where";
import { openBench, prefs } from "./store/bench";
import { benchWords } from "./text/bench-words";
import { addMessages } from "./text/messages";
import { Screen } from "./routes";
import amounts from "../../shared/messages/amounts.en.json";
import { guard_unknown } from "../../shared/messages/journal.en.json";
import screens from "../../shared/messages/screens.en.json";

const THEME = { day: "#f6f1e4", night: "#12110f", sun: "#ffffff" } as const;

/** Paper and hand stand on the root, where the styles find them. */
function Paper() {
  const { paper } = prefs.value;
  const root = document.documentElement;
  root.dataset["paper"] = paper;
  root.dataset["hand"] = prefs.value["hand"] === "left" ? "left" : "right";
  document.querySelector('meta[name="theme-color"]')?.setAttribute("content", THEME[paper]);
  return null;
}

function App() {
  const { settled, problem } = useLoaded("bench", openBench).value;
  if (problem) return <NotOpened message={problem} />;
  if (!settled)
    return (
      <p class="page-body" role="status">
        {benchWords.opening}
      </p>
    );
  return (
    <>
      <Paper />
      <Screen />
    </>
  );
}

function NotOpened({ message }: { message: ReturnType<typeof shownOf> }) {
  return (
    <main class="page-body">
      <Problem message={message} />
      <button type="button" class="press main" onClick={() => location.reload()}>
        {benchWords.again}
      </button>
    </main>
  );
}

addMessages(screens);
addMessages(amounts);
addMessages({ guard_unknown });
awaitInstallOffer();
watchAway();
followAddress();
const root = document.getElementById("app");
if (root) render(<App />, root);
