/** One machine of mine: what it is, its hours, and the ways to its procedures. */
import { useLoaded } from "../../components/hooks";
import { loadModel, type Machine } from "../../store/bench";
import { benchWords as words, hoursInWords, variantInWords } from "../../text/bench-words";

export function MachineCard({ machine }: { machine: Machine }) {
  return (
    <section class="card hung">
      <h3>{machine.name}</h3>
      <p>
        {variantInWords(machine.modelName, machine.year, useOptionNames(machine))}. {hoursInWords(machine.hours)}.
      </p>
      <div class="presses">
        <a class="press" href={`/machine/${machine.id}`}>
          {words.change}
        </a>
        <a class="press" href={`/library?${machine.id}`}>
          {words.fits}
        </a>
      </div>
    </section>
  );
}

/** The names of a machine's options from its model; the ids in plain words while the model is not on this phone. */
export function useOptionNames(machine: Machine): string[] {
  const { value } = useLoaded(machine.model, () => loadModel(machine.model)).value;
  return machine.options.map((id) => value?.options.find((option) => option.id === id)?.name.toLowerCase() ?? id.replaceAll("_", " "));
}
