/** Paper, units and hand; each choice holds at once and is kept on this phone. */
import { Problem, useAttempt } from "../../components/attempt";
import { Choice, ChoiceField } from "../../components/fields";
import { Leads, Page } from "../../components/page";
import { say } from "../../components/said";
import { prefs, setPrefs, type Prefs } from "../../store/bench";
import { settingsWords as words } from "../../text/settings-words";

export function SettingsScreen() {
  const attempt = useAttempt();
  const set = async (changes: Partial<Prefs>) => {
    if (await attempt.run(() => setPrefs(changes))) say(words.kept);
  };
  return (
    <Page title={words.title}>
      <Problem message={attempt.problem.value} />
      <Pick label={words.paper} names={words.papers} value={prefs.value.paper} onPick={(paper) => set({ paper })} />
      <Pick
        label={words.units}
        hint={words.unitsHint}
        names={words.unitNames}
        value={prefs.value.units}
        onPick={(units) => set({ units })}
      />
      <Pick
        label={words.hand}
        names={words.hands}
        value={prefs.value["hand"] === "left" ? "left" : "right"}
        onPick={(hand) => set({ hand })}
      />
      <section class="card">
        <h2>{words.keys}</h2>
        <ul>
          {words.keyLines.map((line) => (
            <li key={line}>{line}</li>
          ))}
        </ul>
      </section>
      <section class="card">
        <h2>{words.more}</h2>
        <Leads to="/about" name={words.about} />
        <Leads to="/sending" name={words.storage} />
      </section>
    </Page>
  );
}

type PickProps<K extends string> = {
  label: string;
  hint?: string;
  names: Readonly<Record<K, string>>;
  value: K;
  onPick: (value: K) => void;
};

function Pick<K extends string>({ label, hint, names, value, onPick }: PickProps<K>) {
  return (
    <ChoiceField label={label} hint={hint}>
      {(Object.keys(names) as K[]).map((key) => (
        <Choice key={key} kind="radio" name={label} checked={value === key} onPick={() => onPick(key)}>
          {names[key]}
        </Choice>
      ))}
    </ChoiceField>
  );
}
