import { describe, expect, it } from "vitest";
import { type TakenIn, takenInWords } from "./job-file-words";

const NOTHING: TakenIn = { job: "j", stored: 0, known: 0, quarantined: 0, photos: 0, photos_known: 0, photos_missing: 0, equal: true, pack_known: true };

describe("what came of a job file, in words", () => {
  it("tells new entries and photos by number", () => {
    expect(takenInWords({ ...NOTHING, stored: 1, photos: 2 })).toEqual(["1 entry new.", "2 photos new.", "The job here has the same entries as the file, no more and no fewer."]);
  });

  it("says that a file taken in again brings nothing new", () => {
    expect(takenInWords({ ...NOTHING, known: 12, photos_known: 1 }).slice(0, 3)).toEqual(["Nothing in it was new.", "12 entries already here: they stay as they are here, and what was erased stays erased.", "1 photo already here."]);
  });

  it("never calls a file nothing new when an entry of it was kept apart, and names what is missing", () => {
    const told = takenInWords({ ...NOTHING, quarantined: 1, photos_missing: 1, pack_known: false, equal: false }).join(" ");
    expect(told).not.toContain("Nothing in it was new");
    expect(told).toContain("1 entry cannot count as sent, kept apart");
    expect(told).toContain("1 photo named in the job is neither in the file nor here");
    expect(told).toContain("its steps cannot be shown");
    expect(told).toContain("does not have the same entries");
  });
});
