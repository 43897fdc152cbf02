/** All of the piece beside the job, behind its door. */
export { AlsoNow } from "./also-now";
export { StopLine, StopSheet } from "./stop-sheet";
export { ChangesRoom } from "./changes-room";
