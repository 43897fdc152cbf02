import { expect, test } from "vitest";
import { dayInWords, unbroken } from "./unbroken";

test.each([
  ["By months: overdue, due at 2026-05-01.", "By months: overdue, due at 1~May~2026."],
  ["25.0 N·m (18.4 lbf·ft)", "25.0~N·m (18.4~lbf·ft)"],
  ["41 ml (1.4 US fl oz) in it", "41~ml (1.4~US fl oz) in it"],
  ["30 % and 3 more", "30~% and 3 more"],
  ["10 intervals, 3 mixes", "10 intervals, 3 mixes"],
  ["doi 10.1007/s11668-019-00693-z", "doi 10.1007/s11668-019-00693-z"],
])("%s is not parted", (text, expected) => expect(unbroken(text)).toBe(expected.replaceAll("~", "\u00a0")));

test("what is no date stays", () => expect([dayInWords("soon"), dayInWords("2026-13-01")]).toEqual(["soon", "2026-13-01"]));
