/** The ways to the numbers from other screens; in the app's own piece, so it imports nothing of theirs. */
import { Leads } from "../../components/page";
import { doorWords as words } from "../../text/door-words";

export function NumbersLead() {
  return (
    <section class="card">
      <Leads to="/numbers" name={words.lead}>
        <span class="row-line small soft">{words.leadLine}</span>
      </Leads>
    </section>
  );
}

/** Where all numbers of one step stand, filled in from its pack. */
export const numbersOf = (job: string, step: string): string => `/numbers?${new URLSearchParams({ job, step })}`;

export const NumbersOfStep = ({ job, step }: { job: string; step: string }) => (
  <a class="inline-link tall" href={numbersOf(job, step)}>
    {words.ofStep}
  </a>
);

type Torque = { kind: string; value: number | null; low: number | null; high: number | null; as_published: string; unit: string } | null;

/** From a step's torque to one's own wrench: target and limits go along, the answer can come back as a note of the step. */
export function WithMyWrench({ job, step, figure, share, about }: { job: string; step: string; figure: Torque; share: number | null; about: string }) {
  if (figure?.kind !== "torque" || figure.value === null) return null;
  const full = share === null || share === 100;
  const bounds = full ? { low_nm: figure.low, high_nm: figure.high } : {};
  const target = `${(figure.value * (share ?? 100)) / 100} ${figure.unit}`;
  const limits = Object.entries(bounds).flatMap(([key, value]) => (value === null ? [] : [[key, `${value} ${figure.unit}`] as [string, string]]));
  const query = new URLSearchParams([["job", job], ["step", step], ...(about === "" ? [] : [["about", about]]), ["target_nm", target], ...limits]);
  return (
    <a class="inline-link tall" href={`/numbers/with-my-wrench?${query}`}>
      {words.withMyWrench}
    </a>
  );
}
