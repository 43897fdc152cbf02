/** The words of a dealer's link to a job on one machine. */
export const jobLinkWords = {
  title: "A job from the dealer",
  asking: "Asking the dealer’s server what this link opens …",
  again: "Ask again",
  from: (dealer: string): string => `Prepared for you by ${dealer}`,
  machine: (model: string | null, year: number | null, hours: number | null): string =>
    [model ?? "Any machine", year, hours === null ? "hours not known" : `${hours} h when the dealer last knew`].filter((part) => part !== null).join(", "),
  kept: "The machine is put on your bench with what the dealer knows of it. Change it there if something is not right.",
  begin: "Open the job",
  opening: "Opening …",
};
