/** Which procedures the library shows, for a machine and a search. Knows entries and variants; nothing of the page. */
import { guardHolds } from "../../domain/guards";
import type { Library, Machine, ManifestPack } from "../../store/bench";

export type Scope = "all" | "anywhere" | Machine;
export type Shelf = { model: string | null; name: string; entries: ManifestPack[]; all: number; kept: number; keptBytes: number };

export function fits(entry: ManifestPack, machine: Machine): boolean {
  return (
    (entry.model === null || entry.model === machine.model) && guardHolds(entry.applies, { year: machine.year, options: machine.options })
  );
}

const folded = (text: string): string => text.toLowerCase().normalize("NFD").replace(/\p{M}/gu, "");

/** Every word of the search stands somewhere in the title or the summary. */
export function matches(entry: ManifestPack, search: string): boolean {
  const text = folded(`${entry.title} ${entry.summary}`);
  return folded(search)
    .split(/\s+/)
    .every((word) => text.includes(word));
}

/** The shelves in order: each model by name, the procedures for anywhere last. An entry for another machine's model is not shown. */
export function shelves(library: Library, scope: Scope, search: string): Shelf[] {
  const procedures = library.entries.filter((entry) => entry.kind === "procedure");
  const models = [...new Set(procedures.map((entry) => entry.model))].filter((model) => inScope(model, scope));
  const nameOf = (model: string | null) =>
    library.entries.find((entry) => entry.kind === "model" && entry.id === model)?.title ?? model ?? "";
  return models
    .map((model) => {
      const all = procedures.filter((entry) => entry.model === model);
      const kept = all.filter((entry) => entry.sha256 in library.kept);
      const keptBytes = kept.reduce((sum, entry) => sum + (library.kept[entry.sha256] ?? 0), 0);
      return {
        model,
        name: nameOf(model),
        entries: all.filter((entry) => matches(entry, search)).sort(byTitle),
        kept: kept.length,
        keptBytes,
        all: all.length,
      };
    })
    .filter((shelf) => shelf.entries.length > 0)
    .sort((a, b) => (a.model === null ? 1 : b.model === null ? -1 : a.name < b.name ? -1 : 1));
}

const byTitle = (a: ManifestPack, b: ManifestPack): number => (a.title < b.title ? -1 : 1);

function inScope(model: string | null, scope: Scope): boolean {
  if (scope === "all" || model === null) return true;
  return scope !== "anywhere" && scope.model === model;
}
