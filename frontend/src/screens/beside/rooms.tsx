/** All of the piece beside the job, behind its door. */
export { StopLine, StopSheet } from "./stop-sheet";
