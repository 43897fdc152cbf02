/** The shapes of packs and events, made from the shared schemas, under one name for store/, sync/ and the screens. */
export type * from "../generated/procedure-pack";
export type { ModelPack } from "../generated/model-pack";
export type { JobStartedBody, JournalEvent, MachineFacts as JobMachine, Outcome, PhotoTakenBody } from "../generated/event";
