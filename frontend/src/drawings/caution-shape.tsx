/** The shape that goes with a signal word, so that colour is never alone: octagon, filled triangle, open triangle, square. */
import type { Caution } from "../store/bench";

const MARK = "M12 8v6M12 16.4v1.6";

export function CautionShape({ signal }: { signal: Caution["signal"] }) {
  return (
    <svg class="caution-shape" viewBox="0 0 24 24" aria-hidden="true" focusable="false">
      {shapeOf(signal)}
    </svg>
  );
}

const line = { fill: "none", stroke: "currentColor", "stroke-width": 2.2, "stroke-linejoin": "round" } as const;

function shapeOf(signal: Caution["signal"]) {
  switch (signal) {
    case "DANGER":
      return <path d={`M8 2h8l6 6v8l-6 6H8l-6-6V8z${MARK.replace("8v6", "6v8")}`} {...line} />;
    case "WARNING":
      return (
        <>
          <path d="M12 2L23 22H1z" fill="currentColor" />
          <path d={MARK} fill="none" stroke="var(--amber)" stroke-width="2.6" />
        </>
      );
    case "CAUTION":
      return <path d={`M12 3L22 21H2z${MARK}`} {...line} />;
    case "NOTICE":
      return <path d="M3 3h18v18H3zM12 7v1.8M12 11v7" {...line} />;
  }
}
