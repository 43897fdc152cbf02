/** All of the piece beside the job, behind its door. */
import "../../styles/beside.css";
export { ComesOff, ComesOffBefore } from "./comes-off-card";
export { AlsoNow } from "./also-now";
export { StopLine, StopSheet } from "./stop-sheet";
export { AnswerCard, AnswersAt } from "./answer-card";
export { ChangesRoom } from "./changes-room";
export { EnrolScreen as EnrolRoom } from "../sending/enrol-screen";
export { SettingsScreen as SettingsRoom } from "../settings/settings-screen";
export { AboutScreen as AboutRoom } from "../about/about-screen";
export { JobLinkRoom } from "./job-link-room";
