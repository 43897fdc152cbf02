/** One fastener seen from the side, its shank as long as it is: 1 mm is 1 unit, at most 80. */
export function Bolt({ lengthMm, threaded }: { lengthMm: number | null; threaded: boolean }) {
  if (!threaded) {
    return (
      <svg class="bolt" viewBox="0 0 24 16" width="24" height="16" aria-hidden="true" focusable="false">
        <path d="M4 3h16v10H4z" />
      </svg>
    );
  }
  const shank = Math.max(10, Math.min(80, lengthMm ?? 20));
  const turns = Math.floor((shank - 4) / 5);
  return (
    <svg class="bolt" viewBox={`0 0 ${shank + 14} 16`} width={shank + 14} height="16" aria-hidden="true" focusable="false">
      <path d={`M2 1h9v14H2zM11 5h${shank}v6h-${shank}z${Array.from({ length: turns }, (_, n) => `M${15 + n * 5} 11l2 -6`).join("")}`} />
    </svg>
  );
}
