// What was measured across machines: a list of the checks, and one of them as plot and table.
import "../styles/desk-returns.css";
import { machinesOf, MarkOf, type Point as Drawn, ReadingsPlot } from "../drawings/readings-plot";
import { numberText } from "../domain/rounding";
import { call } from "./api";
import { counted, Link, Loaded, when } from "./parts";

type Measured = { model: string | null; check: string; name: string; unit: string; readings: number; machines: number; outside: number };
type Point = Omit<Drawn, "hours"> & { job: string; hours: number | null; as_typed: string; wall: string };
type Readings = { model: string | null; check: string; name: string; unit: string; low: number | null; high: number | null; other_limits: number; points: Point[] };

const VERDICTS: Record<string, string> = { within: "within limits", outside: "OUTSIDE the limits", unknown: "limits not known" };
const queryOf = (model: string | null, check: string): string => `?${new URLSearchParams({ ...(model === null ? {} : { model }), check })}`;
const placeOf = (model: string | null, check: string): string => `/desk/readings/${encodeURIComponent(model ?? "-")}/${encodeURIComponent(check)}`;

export function ReadingsSheet({ model, check }: { model?: string; check?: string }) {
  if (model !== undefined && check !== undefined) return <OneCheck model={model === "-" ? null : model} check={check} />;
  return (
    <main class="sheet">
      <p>
        <Link to="/desk/machines">Machines</Link>
      </p>
      <h1>Readings across machines</h1>
      <Loaded of="readings" load={() => call<{ checks: Measured[] }>("GET", "/desk/readings")}>
        {({ checks }) =>
          checks.length === 0 ? (
            <p>Nothing was measured yet. Readings come with the jobs.</p>
          ) : (
            <ul class="entries">
              {checks.map((one) => (
                <li key={`${one.model} ${one.check}`} class="card">
                  <h2>
                    <Link to={placeOf(one.model, one.check)}>{one.name}</Link>
                  </h2>
                  <p>
                    {one.model ?? "Any machine"}: {counted(one.readings, "reading")} on {counted(one.machines, "machine")}
                    {one.outside > 0 && <b class="look-word"> · {one.outside} outside the limits</b>}
                  </p>
                </li>
              ))}
            </ul>
          )
        }
      </Loaded>
    </main>
  );
}

function OneCheck({ model, check }: { model: string | null; check: string }) {
  const query = queryOf(model, check);
  return (
    <main class="sheet">
      <p>
        <Link to="/desk/readings">Readings across machines</Link>
      </p>
      <Loaded of={query} load={() => call<Readings>("GET", `/desk/readings/points${query}`)}>
        {(found) => (
          <>
            <h1>{found.name}</h1>
            <p>
              {found.model ?? "Any machine"}. {limitsInWords(found)} <a href={`/api/v1/desk/readings/points.csv${query}`}>These readings as CSV</a>
            </p>
            <Plot found={found} />
            <PointTable found={found} />
          </>
        )}
      </Loaded>
    </main>
  );
}

function limitsInWords({ low, high, unit, other_limits }: Readings): string {
  const ends = [low !== null && `at least ${numberText(low)} ${unit}`, high !== null && `at most ${numberText(high)} ${unit}`].filter(Boolean);
  const now = ends.length === 0 ? "The newest reading had no limits that are known." : `Limits of the newest reading: ${ends.join(", ")}.`;
  return other_limits === 0 ? now : `${now} ${counted(other_limits, "reading was", "readings were")} held against other limits.`;
}

function Plot({ found }: { found: Readings }) {
  const placed = found.points.flatMap((point) => (point.hours === null ? [] : [{ ...point, hours: point.hours }]));
  const without = found.points.length - placed.length;
  const machines = machinesOf(placed);
  const outside = placed.filter(({ verdict }) => verdict === "outside").length;
  const label = `${found.name} by hours: ${counted(placed.length, "reading")} on ${counted(machines.length, "machine")}, ${outside} outside the limits. ${limitsInWords(found)} The table below says the same.`;
  return (
    <section class="card">
      {placed.length > 0 && <ReadingsPlot points={placed} low={found.low} high={found.high} unit={found.unit} label={label} />}
      <ul class="plot-key">
        {machines.map(([id, own], place) => (
          <li key={id}>
            <MarkOf place={place} /> {own[0]!.machine}
          </li>
        ))}
      </ul>
      {outside > 0 && <p class="quiet">A ring stands round each reading that was outside its limits when it was taken.</p>}
      {without > 0 && <p>{counted(without, "reading")} of a job that states no hours: in the table, not in the plot.</p>}
    </section>
  );
}

function PointTable({ found }: { found: Readings }) {
  return (
    <div class="scroll" tabIndex={0} role="region" aria-label={`Readings of ${found.name}`}>
      <table>
        <thead>
          <tr>
            <th>Machine</th>
            <th>Hours</th>
            <th>Reading</th>
            <th>Verdict</th>
            <th>When</th>
          </tr>
        </thead>
        <tbody>
          {[...found.points].reverse().map((point, place) => (
            <tr key={place}>
              <th scope="row">
                <Link to={`/desk/jobs/${point.job}`}>{point.machine}</Link>
              </th>
              <td>{point.hours === null ? "not stated" : numberText(point.hours)}</td>
              <td>{point.as_typed}</td>
              <td class={point.verdict === "outside" ? "look-word" : ""}>{VERDICTS[point.verdict] ?? point.verdict}</td>
              <td>{when(point.wall)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
