/** What one step of the running job can have worked out, opened with what its pack knows, so that the answer can go back as a note of the step. */
import { Leads, Page } from "../../components/page";
import { numbersWords as words, stepNumberWords } from "../../text/numbers-words";
import { JobGate } from "../job/job-gate";
import { useJob, type JobView } from "../job/job-view";
import type { Calculator } from "./calculator";
import { calculators } from "./registry";
import { offersOf, type Offer } from "./step-offers";

export function StepNumbers({ job, step }: { job: string; step: string }) {
  const loaded = useJob(job);
  return <JobGate loaded={loaded}>{(view) => <Offers view={view} id={step} />}</JobGate>;
}

function Offers({ view, id }: { view: JobView; id: string }) {
  const step = view.steps.find((each) => each.id === id);
  const offers = step ? offersOf(view, step) : [];
  return (
    <Page title={stepNumberWords.title} sub={step?.say}>
      <section class="card">
        <ul class="rows">
          {offers.map((offer, n) => (
            <OfferLine key={n} offer={offer} job={view.job} step={id} />
          ))}
          <li>
            <Leads to={`/numbers/kit-check?pack=${view.summary.pack}`} name={stepNumberWords.kit} />
          </li>
        </ul>
      </section>
      <div class="presses">
        <a class="press" href={`/job/${view.job}/step/${encodeURIComponent(id)}`}>
          {words.backToStep}
        </a>
        <a class="press" href="/numbers">
          {words.list}
        </a>
      </div>
    </Page>
  );
}

function OfferLine({ offer, job, step }: { offer: Offer; job: string; step: string }) {
  const calculator = calculators().find(({ name }) => name === offer.name);
  if (!calculator) return null;
  const query = new URLSearchParams({ job, step, ...(offer.about === "" ? {} : { about: offer.about }), ...offer.form });
  return (
    <li>
      <Leads to={`/numbers/${offer.name}?${query}`} name={calculator.title}>
        <span class="row-line small soft">{[offer.about.replace(/\.$/, ""), ...filledIn(calculator, offer)].filter(Boolean).join("; ")}</span>
      </Leads>
    </li>
  );
}

/** The first fields that come filled in, as they stand in the form. */
function filledIn(calculator: Calculator, { form }: Offer): string[] {
  return calculator.fields.flatMap((field) => {
    if (field.kind === "rows") return form[`${field.key}.count`] ? [stepNumberWords.rows(field.row, Number(form[`${field.key}.count`]))] : [];
    return form[field.key] && field.kind !== "choice" ? [`${field.label.toLowerCase()} ${form[field.key]}`] : [];
  }).slice(0, 3);
}
