/** The steps as marks on a rule: long is done, broken is skipped, short is open, the block is where you are. */
export type MarkOf = "done" | "skipped" | "open";

export function StepRule({ marks, at, label }: { marks: MarkOf[]; at: number; label: string }) {
  const width = marks.length * 10;
  return (
    <svg class="drawing rule" viewBox={`0 0 ${width} 20`} preserveAspectRatio="none" role="img" aria-label={label}>
      <path d={`M0 19H${width}`} class="base" />
      {marks.map((mark, n) => (
        <path key={n} d={lineOf(mark, n * 10 + 5)} class="mark" />
      ))}
      {at >= 0 && <path d={`M${at * 10} 1h10v18h-10z`} class="here" />}
    </svg>
  );
}

function lineOf(mark: MarkOf, x: number): string {
  if (mark === "done") return `M${x} 19V3`;
  if (mark === "skipped") return `M${x} 19v-5M${x} 9v-6`;
  return `M${x} 19v-5`;
}
