/**
 * The part of a round that sends photos: tus 1.0 (creation with upload, core, checksum), one at a time, notes first, resumed where it stopped.
 * A photo counts as sent only when a receipt names its hash; the end of an upload alone proves nothing.
 * The first piece goes with the announcement and the receipt comes with the last answer: on a slow way each question costs as much as 15 KB.
 */
import { ask, fail, generalFault, PULL_EVERY_MS } from "./engine-steps";
import type { Answers, AskName, At, EngineState, Http, PhotoReceipt, PhotoState, Step, Tell } from "./engine-types";

export const PIECE_BYTES = 256 * 1024;
const TRIES = 4;

type Handlers = { [N in AskName]?: (state: EngineState, answer: Answers[N], at: At) => Step };

export const photoAnswers: Handlers = {
  photo: (state, { photo, left }, at) => {
    if (photo === null) return pullOrCompare(state, at);
    const next: EngineState = { ...state, photo: { photo, offset: 0, tries: 0 }, photosLeft: left };
    if (photo.upload !== null) return ask(next, { do: "offset", upload: photo.upload }, [showing(next)]);
    // Announcing tells as well when the server has the photo already; one that it had once is announced without bytes.
    return ask(next, { do: "create", photo, bytes: photo.sent ? 0 : Math.min(PIECE_BYTES, photo.bytes) }, [showing(next)]);
  },
  receipt: (state, answer, at) => {
    const held = state.photo!;
    if (answer.status === 200 && named(state, answer)) return ask(state, { do: "keep-receipt", receipt: answer.receipt! });
    const general = generalFault(state, answer, at);
    if (general) return general;
    // All bytes are there and still no receipt: the server is not done with it, or lost it. Begin anew, a few times, then another day.
    return held.tries >= TRIES ? passOver(state) : ask(again(state), { do: "create", photo: held.photo, bytes: 0 });
  },
  create: (state, answer, at) => {
    if (answer.damaged) return damagedHere(state);
    if (answer.status === 201 && named(state, answer)) return ask(state, { do: "keep-receipt", receipt: answer.receipt! });
    if (answer.status === 201 && answer.upload !== undefined) return ask(placed(state, answer.upload, answer.offset ?? 0), { do: "keep-upload", sha256: state.photo!.photo.sha256, upload: answer.upload });
    const general = generalFault(state, answer, at);
    if (general) return general;
    // It may be the bytes that were not taken: announced alone it is clear what the server says to the photo.
    const withBytes = state.open?.do === "create" && state.open.bytes > 0;
    return withBytes ? ask(state, { do: "create", photo: state.photo!.photo, bytes: 0 }) : refusedPhoto(state, answer);
  },
  "keep-upload": (state) => {
    const { photo } = state.photo!;
    return photo.upload === null ? ask(state, { do: "create", photo, bytes: 0 }) : nextPiece(state);
  },
  offset: (state, answer, at) => {
    if (answer.status < 300 && answer.offset !== undefined) return nextPiece(moved(state, answer.offset));
    return generalFault(state, answer, at) ?? forgetUpload(state, at);
  },
  piece: (state, answer, at) => {
    if (answer.damaged) return damagedHere(state);
    if (answer.status === 204 && named(state, answer)) return ask(state, { do: "keep-receipt", receipt: answer.receipt! });
    if (answer.status === 204 && answer.offset !== undefined) return nextPiece(moved(state, answer.offset));
    const general = generalFault(state, answer, at);
    if (general) return general;
    if (answer.status === 404 || answer.status === 410) return forgetUpload(state, at);
    if (answer.status === 409 || answer.status === 460) return askOffset(state, at);
    return refusedPhoto(state, answer);
  },
  "keep-receipt": (state, { settled }) => {
    const skip = settled ? state.skip : [...state.skip, state.photo!.photo.sha256];
    return ask({ ...state, photo: null, skip, photosSent: state.photosSent + (settled ? 1 : 0) }, { do: "photo", skip });
  },
};

/** Whether a receipt came that names this photo. */
function named(state: EngineState, answer: { receipt?: PhotoReceipt }): boolean {
  return answer.receipt?.sha256 === state.photo!.photo.sha256;
}

function damagedHere(state: EngineState): Step {
  return ask(state, { do: "hold", what: "photo", id: state.photo!.photo.sha256, code: "photo_damaged_unsent" });
}

function showing(state: EngineState): Tell {
  const total = state.photosSent + 1 + state.photosLeft;
  return { tell: "sending", what: "photos", done: state.photosSent, total, ids: [state.photo!.photo.sha256] };
}

function withPhoto(state: EngineState, change: Partial<PhotoState>): EngineState {
  return { ...state, photo: { ...state.photo!, ...change } };
}

function placed(state: EngineState, upload: string | null, offset: number): EngineState {
  return withPhoto(state, { photo: { ...state.photo!.photo, upload }, offset });
}

function again(state: EngineState): EngineState {
  return withPhoto(state, { tries: state.photo!.tries + 1 });
}

/** The server's offset is the truth, even when it is behind ours; one that does not move forward counts as a try. */
function moved(state: EngineState, offset: number): EngineState {
  const forward = offset > state.photo!.offset;
  return withPhoto(state, { offset, tries: forward ? 0 : state.photo!.tries + 1 });
}

function nextPiece(state: EngineState): Step {
  const { photo, offset, tries } = state.photo!;
  if (tries >= TRIES) return passOver(state);
  if (offset >= photo.bytes) return ask(again(state), { do: "receipt", sha256: photo.sha256 });
  const bytes = Math.min(PIECE_BYTES, photo.bytes - offset);
  return ask(state, { do: "piece", sha256: photo.sha256, upload: photo.upload!, offset, bytes });
}

function askOffset(state: EngineState, at: At): Step {
  const { photo, tries } = state.photo!;
  return tries >= TRIES || photo.upload === null ? fail(state, at, null) : ask(again(state), { do: "offset", upload: photo.upload });
}

/** The server no longer knows the upload (it expired, or the server was restored): begin a new one. */
function forgetUpload(state: EngineState, at: At): Step {
  if (state.photo!.tries >= TRIES) return fail(state, at, null);
  return ask(again(placed(state, null, 0)), { do: "keep-upload", sha256: state.photo!.photo.sha256, upload: null });
}

/** Leaves this photo for a later round and goes on with the next. */
function passOver(state: EngineState): Step {
  const skip = [...state.skip, state.photo!.photo.sha256];
  return ask({ ...state, photo: null, skip }, { do: "photo", skip });
}

function refusedPhoto(state: EngineState, answer: Http): Step {
  const code = answer.status === 413 ? "photo_refused_size" : "photo_refused";
  return ask(state, { do: "hold", what: "photo", id: state.photo!.photo.sha256, code });
}

function pullOrCompare(state: EngineState, at: At): Step {
  const due = at.nowMs - state.pulledMs >= PULL_EVERY_MS || state.why === "button" || state.why === "again" || state.notesSent > 0;
  return due ? ask(state, { do: "pull" }) : ask(state, { do: "compare" });
}
