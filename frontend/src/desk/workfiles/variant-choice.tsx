// Which machine of the model is looked at: its year and options, of one group one.
import { useSignal } from "@preact/signals";
import type { Variant } from "../../domain/variant";
import type { ProcedurePack } from "../../generated/procedure-pack";

export type Chosen = { variant: Variant; setYear: (year: string) => void; tick: (id: string, on: boolean, group: string | null) => void };

/** The variant that is chosen; the newest with nothing fitted at first. */
export function useVariant(pack: ProcedurePack | null): Chosen {
  const year = useSignal("");
  const fitted = useSignal<string[]>([]);
  const model = pack?.model ?? null;
  return {
    variant: { year: Number(year.value) || model?.years[1] || 2026, options: model ? withGroups(model.options, fitted.value) : [] },
    setYear: (chosen) => (year.value = chosen),
    tick: (id, on, group) => (fitted.value = toggled(model?.options ?? [], fitted.value, id, on, group)),
  };
}

export function VariantChoice({ pack, chosen }: { pack: ProcedurePack | null; chosen: Chosen }) {
  const model = pack?.model;
  if (!model) return null;
  const years = Array.from({ length: model.years[1] - model.years[0] + 1 }, (_, n) => model.years[0] + n);
  return (
    <div class="phone-variant">
      <label>
        Model year
        <select value={String(chosen.variant.year)} onChange={(e) => chosen.setYear(e.currentTarget.value)}>
          {years.map((one) => (
            <option key={one}>{one}</option>
          ))}
        </select>
      </label>
      <div>
        {model.options.map(({ id, name, group }) => (
          <label key={id} class="tick-line">
            <input type="checkbox" checked={chosen.variant.options.includes(id)} onChange={(e) => chosen.tick(id, e.currentTarget.checked, group)} />
            {name}
          </label>
        ))}
      </div>
    </div>
  );
}

type Option = { id: string; group: string | null };

const toggled = (options: Option[], fitted: string[], id: string, on: boolean, group: string | null): string[] => {
  const others = fitted.filter((one) => one !== id && (group === null || options.find((option) => option.id === one)?.group !== group));
  return on ? [...others, id].sort() : others;
};

/** Of one group exactly one option is fitted: the first when none was chosen. */
function withGroups(options: Option[], fitted: string[]): string[] {
  const groups = [...new Set(options.map(({ group }) => group).filter((group) => group !== null))];
  const missing = groups.filter((group) => !options.some((option) => option.group === group && fitted.includes(option.id)));
  const firsts = missing.map((group) => options.find((option) => option.group === group)!.id);
  return [...fitted.filter((id) => options.some((option) => option.id === id)), ...firsts].sort();
}
