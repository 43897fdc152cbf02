/** An answer as it stands on the card: the hero, what follows from it, the drawing, the working, the source, and when it stops being true. */
import calcTexts from "../../../../shared/texts/calc.en.json";
import { CautionCard } from "../../components/caution-card";
import { Hero } from "../../components/figure-shown";
import { inWords, type Answer, type Note, type Source } from "../../domain/answer";
import { MARKS, numbersWords as words } from "../../text/numbers-words";
import { bothOf } from "./amounts";
import type { Calculator, Hero as HeroSaid, Said } from "./calculator";
import { unbroken } from "./unbroken";

const NOTES = calcTexts.notes as Record<string, string>;
const WORKING = calcTexts.working as Record<string, string>;

const inNote = ({ code, values }: Note): string => unbroken(inWords(NOTES[code] ?? code, values));
export const workingOf = ({ code, values }: Note): string => inWords(WORKING[code] ?? "", values);
export const sourceOf = ({ mark, name }: Source): string => (name === "" ? MARKS[mark] : `${name} (${MARKS[mark]})`);

export function heroText(hero: HeroSaid): string {
  if ("words" in hero) return hero.words;
  if ("text" in hero) return `${hero.text} ${hero.unit}`.trim();
  if ("each" in hero) return hero.each.map(({ text, unit }) => `${text} ${unit}`).join(", ");
  const [first, second] = bothOf(hero.amount, hero.unit);
  return `${first.text} ${first.unit}`.trim() + (second ? ` (${second.text} ${second.unit})` : "");
}

/** The answer as one text, for a step's note. */
export function answerText(title: string, said: Said, answer: Answer, typed: string): string {
  const parts = [
    `${title}: ${said.hero.about}: ${heroText(said.hero)}.`, ...(said.lines ?? []), typed === "" ? "" : `${words.typed}: ${typed}.`,
    `${words.working}: ${said.working ?? workingOf(answer.working)}.`, `${words.source}: ${answer.sources.map(sourceOf).join("; ")}.`,
  ];
  return parts.filter((part) => part !== "").join("\n").replace(/\.\.$/gm, ".");
}

export function AnswerView({ calculator, answer, said }: { calculator: Calculator; answer: Answer; said: Said }) {
  return (
    <section class="card answer" aria-label={said.hero.about} aria-live="polite" tabIndex={-1}>
      {calculator.caution && <CautionCard caution={calculator.caution} />}
      {calculator.check && <p class="answer-check">{words.check}</p>}
      <p class="answer-about">{said.hero.about}</p>
      <HeroShown hero={said.hero} />
      {said.lines && said.lines.length > 0 && (
        <ul class="answer-lines">
          {said.lines.map((line) => (
            <li key={line}>{unbroken(line)}</li>
          ))}
        </ul>
      )}
      {said.drawing}
      {said.below}
      {answer.notes.length > 0 && (
        <ul class="heed" aria-label={words.heed}>
          {answer.notes.map((note) => (
            <li key={note.code}>{inNote(note)}</li>
          ))}
        </ul>
      )}
      <dl>
        <dt>{words.working}</dt>
        <dd>{unbroken(said.working ?? workingOf(answer.working))}</dd>
        <dt>{words.source}</dt>
        {[...new Set(answer.sources.map(sourceOf))].map((source) => (
          <dd key={source}>{source}</dd>
        ))}
        {answer.until.length > 0 && <dt>{words.until}</dt>}
        {answer.until.map((note) => (
          <dd key={note.code}>{inNote(note)}</dd>
        ))}
      </dl>
    </section>
  );
}

function HeroShown({ hero }: { hero: HeroSaid }) {
  if ("words" in hero) return <p class="answer-words">{hero.words}</p>;
  if ("each" in hero) {
    return (
      <ul class="each-on-its-line">
        {hero.each.map((shown, n) => (
          <li key={n}>
            <Hero shown={shown} other={null} />
          </li>
        ))}
      </ul>
    );
  }
  if ("text" in hero) return <Hero shown={{ text: hero.text, unit: hero.unit }} other={hero.other ? { text: hero.other, unit: "" } : null} />;
  const [first, second] = bothOf(hero.amount, hero.unit);
  return <Hero shown={first} other={second} />;
}
