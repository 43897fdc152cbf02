// A workfile while it is edited: its text, what was before and after, the way to the server and what the checks say.
// Knows texts and versions; nothing of forms. The text is the only truth: forms read it and give back another one.
import { computed, signal, type ReadonlySignal, type Signal } from "@preact/signals";
import { call, type Message, Problem } from "../api";
import { forget, keepHere, keptOf, type Kept } from "./kept-here";
import type { Checked, Finding, MapUsed, MovedOn, Pack, WorkfileText } from "./types";
import { readTree, type Tree } from "./yaml-text";

export type Saving = { state: "saved" | "changed" | "sending" | "waiting" | "choosing"; at: string; words: Message | null };

const MOST_STEPS_BACK = 400;
const SAME_FIELD_MS = 1500;
const CHECK_AFTER_MS = 120;
const SAVE_AFTER_MS = 900;
const SLOWEST_RETRY_MS = 30_000;

export class Editing {
  readonly text: Signal<string>;
  readonly tree: ReadonlySignal<Tree | null>;
  /** The last text that could be read: the form stays on it while the text is broken. */
  readonly readable: Signal<Tree>;
  readonly findings = signal<Finding[] | null>(null);
  readonly pack = signal<Pack | null>(null);
  readonly mapUsed = signal<MapUsed | null>(null);
  readonly proving = signal<"proven" | "proving" | "not_proven">("proving");
  /** Why it could not be proven, in words. */
  readonly unproven = signal("");
  readonly saving: Signal<Saving>;
  readonly conflict = signal<MovedOn | null>(null);
  readonly said = signal("");
  readonly left: Signal<Kept[]>;
  readonly back = signal<string[]>([]);
  readonly forth = signal<string[]>([]);
  readonly version: Signal<number>;
  private base: number;
  private onServer: string;
  private lastField = "";
  private lastAt = 0;
  private saveTimer = 0;
  private checkTimer = 0;
  private checkBusy = false;
  private checkAgain = false;
  private sending = false;
  private failures = 0;
  private closed = false;

  constructor(
    readonly file: WorkfileText,
    readonly dealer: string,
  ) {
    this.text = signal(file.text);
    this.tree = computed(() => readTree(this.text.value));
    this.readable = signal(this.tree.peek() ?? { text: "", root: null, data: {} });
    this.base = file.version;
    this.version = signal(file.version);
    this.onServer = file.text;
    this.saving = signal<Saving>({ state: "saved", at: file.saved_at, words: null });
    this.left = signal(keptOf(dealer, file.id).filter((kept) => kept.text !== file.text));
    addEventListener("online", this.tryNow);
    addEventListener("pagehide", this.tryNow);
    this.checkSoon(0);
    // what this very tab wrote before it was reloaded goes on by itself; what other tabs left is offered
    const own = this.left.peek().find((kept) => kept.own);
    if (own) this.takeIn(own);
  }

  close(): void {
    this.closed = true;
    removeEventListener("online", this.tryNow);
    removeEventListener("pagehide", this.tryNow);
    clearTimeout(this.checkTimer);
    if (this.text.peek() !== this.onServer) void this.save();
  }

  /** Another text in place of this one. Changes of one field in a row are one step back. */
  change(made: string, field = ""): void {
    if (made === this.text.peek()) return;
    const now = Date.now();
    const goesOn = field !== "" && field === this.lastField && now - this.lastAt < SAME_FIELD_MS;
    if (!goesOn) this.back.value = [...this.back.peek(), this.text.peek()].slice(-MOST_STEPS_BACK);
    this.lastField = field;
    this.lastAt = now;
    this.forth.value = [];
    this.put(made);
  }

  undo(): void {
    const before = this.back.peek().at(-1);
    if (before === undefined) return;
    this.back.value = this.back.peek().slice(0, -1);
    this.forth.value = [...this.forth.peek(), this.text.peek()];
    this.lastField = "";
    this.put(before);
  }

  redo(): void {
    const after = this.forth.peek().at(-1);
    if (after === undefined) return;
    this.forth.value = this.forth.peek().slice(0, -1);
    this.back.value = [...this.back.peek(), this.text.peek()];
    this.lastField = "";
    this.put(after);
  }

  /** Goes on with a text that never reached the server. */
  takeIn(kept: Kept): void {
    this.base = kept.base;
    this.change(kept.text);
    this.dropKept(kept);
  }

  dropKept(kept: Kept): void {
    forget(this.dealer, this.file.id, kept.tab);
    this.left.value = this.left.peek().filter((one) => one.tab !== kept.tab);
    if (this.text.peek() !== this.onServer) keepHere(this.dealer, this.file.id, this.base, this.text.peek());
  }

  /** The text that was chosen after two people wrote. */
  resolve(text: string): void {
    const found = this.conflict.peek();
    if (!found) return;
    this.base = found.version;
    this.onServer = found.theirs;
    this.conflict.value = null;
    this.change(text);
    this.saving.value = { ...this.saving.peek(), state: "changed" };
    void this.save();
  }

  /** Saves what is not saved yet; true when the server has this very text. */
  async saveNow(): Promise<boolean> {
    clearTimeout(this.saveTimer);
    while (this.sending) await new Promise((done) => setTimeout(done, 50));
    if (this.text.peek() !== this.onServer) await this.save();
    return this.text.peek() === this.onServer;
  }

  private readonly tryNow = () => {
    if (this.text.peek() !== this.onServer) void this.save();
  };

  private put(made: string): void {
    this.text.value = made;
    const tree = this.tree.peek();
    if (tree) this.readable.value = tree;
    const kept = keepHere(this.dealer, this.file.id, this.base, made);
    if (!this.conflict.peek()) this.saving.value = { ...this.saving.peek(), state: "changed", words: kept ? null : NOT_KEPT };
    this.checkSoon(CHECK_AFTER_MS);
    this.saveSoon(SAVE_AFTER_MS);
  }

  private saveSoon(ms: number): void {
    clearTimeout(this.saveTimer);
    this.saveTimer = window.setTimeout(() => void this.save(), ms);
  }

  private async save(): Promise<void> {
    if (this.sending || this.conflict.peek()) return;
    const text = this.text.peek();
    this.sending = true;
    this.saving.value = { ...this.saving.peek(), state: "sending" };
    try {
      const answer = await call<WorkfileText>("POST", `/desk/workfiles/${this.file.id}/save`, { base: this.base, text });
      this.arrived(text, answer.version, answer.saved_at);
    } catch (error) {
      if (!(error instanceof Problem)) throw error;
      this.failed(error, text);
    } finally {
      this.sending = false;
    }
  }

  private arrived(text: string, version: number, at: string): void {
    this.failures = 0;
    this.base = version;
    this.version.value = version;
    this.onServer = text;
    if (this.text.peek() === text) {
      forget(this.dealer, this.file.id);
      this.saving.value = { state: "saved", at, words: null };
    } else {
      keepHere(this.dealer, this.file.id, version, this.text.peek());
      this.saving.value = { ...this.saving.peek(), state: "changed" };
      this.saveSoon(SAVE_AFTER_MS);
    }
  }

  private failed(problem: Problem, sent: string): void {
    if (problem.code === "workfile_moved_on") {
      this.movedOn(problem.values as unknown as MovedOn, sent);
      return;
    }
    this.saving.value = { ...this.saving.peek(), state: "waiting", words: problem.words };
    const passing = problem.status === 0 || problem.status >= 500 || problem.status === 429;
    this.failures += 1;
    if (passing && !this.closed) this.saveSoon(Math.min(1000 * 2 ** this.failures, SLOWEST_RETRY_MS));
  }

  private movedOn(found: MovedOn, sent: string): void {
    if (this.text.peek() !== sent) this.saveSoon(0); // typed on meanwhile: ask for the merge of what stands now
    else if (found.merged !== null) {
      this.base = found.version;
      this.onServer = found.theirs;
      this.said.value = `${found.saved_by} saved meanwhile. Both your changes and theirs are in the text.`;
      this.change(found.merged);
      this.saveSoon(0);
    } else {
      this.conflict.value = found;
      this.saving.value = { ...this.saving.peek(), state: "choosing" };
    }
  }

  checkSoon(ms: number): void {
    clearTimeout(this.checkTimer);
    this.proving.value = "proving";
    this.checkTimer = window.setTimeout(() => void this.check(), ms);
  }

  /** One check at a time; what was typed meanwhile is checked next, and only the newest answer is shown. */
  private async check(): Promise<void> {
    if (this.checkBusy) {
      this.checkAgain = true;
      return;
    }
    this.checkBusy = true;
    const text = this.text.peek();
    try {
      const answer = await call<Checked>("POST", `/desk/workfiles/${this.file.id}/check`, { text, pack: true });
      this.findings.value = answer.findings;
      if (answer.pack) this.pack.value = answer.pack;
      this.mapUsed.value = answer.map_used;
      if (this.text.peek() === text) this.proving.value = "proven";
    } catch (error) {
      if (!(error instanceof Problem)) throw error;
      this.proving.value = "not_proven";
      this.unproven.value = error.words.happened;
      if (!this.closed) this.checkTimer = window.setTimeout(() => void this.check(), 5000);
    } finally {
      this.checkBusy = false;
      if (this.checkAgain && !this.closed) {
        this.checkAgain = false;
        this.checkSoon(0);
      }
    }
  }
}

const NOT_KEPT: Message = {
  happened: "This browser keeps nothing.",
  means: "What is not saved on the server yet would be lost with this tab.",
  do: "Stay on this page until it says saved.",
};
