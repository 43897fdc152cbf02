/** Drives the shrinking worker: one picture at a time (memory), within a bounded time, with a fresh worker after a failure. */
import type { ShrinkReply, ShrinkRequest } from "./shrink.worker";
import workerAddress from "./shrink.worker?worker&url";
import { ownScript } from "./trusted";

export type Shrunk = { data: ArrayBuffer; width: number; height: number };
export type Shrink = (data: ArrayBuffer, mime: string) => Promise<Shrunk>;

/** 48 megapixels took about 3 s on a throttled desk machine; a slow phone may need ten times that, and then something is wrong. */
const LONGEST_MS = 40_000;
let worker: Worker | null = null;
let count = 0;
let queue: Promise<unknown> = Promise.resolve();

/** The clean, small copy of a picture. Throws when it cannot be decoded, is too large, or takes longer than 40 s. */
export function shrink(data: ArrayBuffer, mime: string): Promise<Shrunk> {
  const mine = queue.then(() => inWorker(data, mime));
  queue = mine.catch(() => undefined);
  return mine;
}

function inWorker(data: ArrayBuffer, mime: string): Promise<Shrunk> {
  const id = ++count;
  const running = (worker ??= new Worker(ownScript(workerAddress), { type: "module" }));
  return new Promise<Shrunk>((resolve, reject) => {
    const timer = setTimeout(() => fail("took longer than 40 s"), LONGEST_MS);
    const fail = (why: string) => {
      clearTimeout(timer);
      running.terminate();
      worker = null;
      reject(new Error(why));
    };
    running.onerror = (event) => fail(event.message || "the worker did not start");
    running.onmessage = ({ data: reply }: MessageEvent<ShrinkReply>) => {
      if (reply.id !== id) return;
      if ("failed" in reply) return fail(reply.failed);
      clearTimeout(timer);
      resolve({ data: reply.data, width: reply.width, height: reply.height });
    };
    const request: ShrinkRequest = { id, data, mime };
    running.postMessage(request);
  });
}
