/** The words of the settings. */
export const settingsWords = {
  title: "Settings",
  paper: "Paper",
  papers: { day: "Day: warm card, dark ink", night: "Night: dark card, light ink", sun: "Sun: black on white, larger" },
  units: "Units shown first",
  unitNames: { metric: "N·m, mm, ml, kPa, °C", imperial: "lbf·ft, in, US fl oz, psi, °F" },
  unitsHint: "The other system stands below each figure, and so does what the source printed.",
  hand: "Hand that holds the phone",
  hands: { right: "Right: Done at the right", left: "Left: Done at the left" },
  keys: "Keys, pedals and remotes",
  keyLines: [
    "Page Down: on through the step, then the next",
    "Page Up: back through the step, then the one before",
    "Enter: done, and on to the next",
  ],
  kept: "Kept on this phone",
  more: "More",
  about: "About Benchtrail, cautions, your data",
  storage: "Storage and joining a dealer",
} as const;
