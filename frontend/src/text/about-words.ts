/** What Benchtrail is and is not, and the usual cautions for work that can hurt someone. */
export const aboutWords = {
  title: "About Benchtrail",
  parts: [
    {
      head: "What it is",
      lines: [
        "A dealer writes down how a job is really done. It is checked like a program for every year and option, then followed on your phone with no signal. Your notes, readings and photos go back to the dealer.",
      ],
    },
    {
      head: "What it is not",
      lines: [
        "It does not replace the maker’s documents, local rules or licensed practice. Where they differ, they hold.",
        "Figures come from the dealer’s documents, each with its source. A missing figure is never guessed: ask the dealer.",
        "It cannot see your work. What it calls done is what you ticked.",
      ],
    },
  ],
  cautionsHead: "The usual cautions",
  cautions: [
    {
      signal: "WARNING",
      hazard: "Brakes, steering, wheels and throttle.",
      consequence: "A fault there can throw you.",
      avoidance: "Test them standing, then slowly, before you ride. When unsure, have a licensed workshop do it.",
    },
    {
      signal: "WARNING",
      hazard: "Fuel burns and its vapour explodes.",
      consequence: "Burns, fire.",
      avoidance: "Engine cold, no flame or spark, open air, a fire extinguisher at hand.",
    },
    {
      signal: "WARNING",
      hazard: "Hot coolant and oil are under pressure.",
      consequence: "They scald skin and eyes.",
      avoidance: "Open nothing before the engine is cold to the hand.",
    },
    {
      signal: "WARNING",
      hazard: "A lifted machine can fall; springs are under load.",
      consequence: "It crushes or strikes.",
      avoidance: "Use a rated stand on firm ground. Never go under a machine held by a jack alone.",
    },
    {
      signal: "CAUTION",
      hazard: "Batteries hold acid and give off gas that burns.",
      consequence: "Burns to skin and eyes.",
      avoidance: "Negative lead off first and on last. Wear eye protection.",
    },
  ],
  dataHead: "Your data",
  data: [
    "Everything you write or photograph is saved on this phone first.",
    "It goes only to the dealer this phone has joined, and to nobody else. Photos are sent without their place and camera data.",
    "Nothing unsent is removed from this phone before the dealer’s server has confirmed it.",
  ],
  demo: (dealer: string) => `${dealer} and its machines are invented. Nothing here is for use on a real machine.`,
} as const;
