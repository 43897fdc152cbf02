/** What Benchtrail is and is not, the usual cautions, and what it does with the person's data. */
import { CautionCard } from "../../components/caution-card";
import { BackPress, Page } from "../../components/page";
import { library } from "../../store/bench";
import { aboutWords as words } from "../../text/about-words";

export function AboutScreen() {
  const { dealer } = library.value;
  return (
    <Page title={words.title}>
      {dealer?.invented && <p class="card">{words.demo(dealer.name)}</p>}
      {words.parts.map(({ head, lines }) => (
        <Lines key={head} head={head} lines={lines} />
      ))}
      <h2>{words.cautionsHead}</h2>
      {words.cautions.map((caution) => (
        <CautionCard key={caution.hazard} caution={caution} />
      ))}
      <Lines head={words.dataHead} lines={words.data} />
      <BackPress otherwise="/settings" />
    </Page>
  );
}

function Lines({ head, lines }: { head: string; lines: readonly string[] }) {
  return (
    <section class="card">
      <h2>{head}</h2>
      {lines.map((line) => (
        <p key={line}>{line}</p>
      ))}
    </section>
  );
}
