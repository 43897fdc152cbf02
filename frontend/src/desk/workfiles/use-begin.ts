// Begins a workfile on the server and opens it.
import { call } from "../api";
import { useSending } from "../parts";
import { go } from "../state";
import type { WorkfileText } from "./types";

export function useBegin() {
  const { busy, problem, send } = useSending();
  const begin = (body: Record<string, unknown> | (() => Promise<Record<string, unknown>>)) =>
    void send(async () => {
      const made = await call<WorkfileText>("POST", "/desk/workfiles", typeof body === "function" ? await body() : body);
      go(`/desk/writing/${encodeURIComponent(made.id)}`);
    });
  return { busy, problem, begin };
}
