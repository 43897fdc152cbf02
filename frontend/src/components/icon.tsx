/** Our own line icons on a grid of 24. Always beside a word, so hidden from screen readers. */
const LINES = {
  bench: "M3 9h18v3H3zM6 12v8M18 12v8M9 9V5h6v4M12 5V3",
  library: "M4 7h13v13H4zM7 7V4h13v13h-3M7 12h7M7 16h5",
  sending: "M12 15V4M8 8l4-4 4 4M4 14v6h16v-6",
  settings: "M4 8h9M17 8h3M4 16h3M11 16h9M13 5v6h4V5zM7 13v6h4v-6z",
  back: "M10 5l-7 7 7 7M4 12h17",
  done: "M4 13l5 5L20 6",
  note: "M5 4h14v11l-5 5H5zM19 15h-5v5M8 8h8M8 12h5",
  photo: "M3 7h5l2-3h4l2 3h5v12H3zM12 9.5a3.5 3.5 0 1 0 .01 0z",
  more: "M4 6h16M4 12h16M4 18h10",
  skip: "M4 17c1-8 11-10 15-4M20 8v6h-6M4 21h5",
  clock: "M12 4a8.5 8.5 0 1 0 .01 0zM12 8v5l3 2M9 1.5h6",
  tray: "M2 9h20l-2 10H4zM8 9V5h8v4M8 14h8",
  bolt: "M7 3h10v6H7zM10 9v12h4V9M10 13l4 1.5M10 17l4 1.5",
  drop: "M12 3c4 5 6 8 6 11a6 6 0 0 1-12 0c0-3 2-6 6-11z",
  search: "M10 4a6.5 6.5 0 1 0 .01 0zM15 15l6 6",
  open: "M9 5l7 7-7 7",
  wake: "M12 8a4 4 0 1 0 .01 0zM12 2v3M12 19v3M2 12h3M19 12h3M5 5l2 2M17 17l2 2M19 5l-2 2M7 17l-2 2",
  machine: "M5.5 13a4 4 0 1 0 .01 0zM18.5 13a4 4 0 1 0 .01 0zM5.5 17l4-8h6l3 8M9.5 9l3 8M15.5 9l-1-4h3",
  stop: "M4 4h16v16H4z",
  sheet: "M5 3h14v18H5zM9 8h6M9 12h6M9 16h3",
} as const;

export type IconName = keyof typeof LINES;

export function Icon({ name }: { name: IconName }) {
  return (
    <svg class="icon" viewBox="0 0 24 24" aria-hidden="true" focusable="false">
      <path d={LINES[name]} />
    </svg>
  );
}
