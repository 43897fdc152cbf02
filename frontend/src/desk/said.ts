// Times and counts in words. Knows nothing of screens.
const DATE_TIME = new Intl.DateTimeFormat("en-GB", { dateStyle: "medium", timeStyle: "short" });

export function when(iso: string | null | undefined): string {
  if (!iso) return "time not known";
  const moment = new Date(iso);
  return Number.isNaN(moment.getTime()) ? iso : DATE_TIME.format(moment);
}

export const counted = (n: number, one: string, many = `${one}s`): string => `${n} ${n === 1 ? one : many}`;
