// The kinds of entries in a journal, as plain words after the name of who wrote them.
export const KINDS: Record<string, string> = {
  JobStarted: "began the job",
  PrepTicked: "ticked in the preparations",
  StepDone: "finished step",
  StepSkipped: "skipped step",
  ReadingTaken: "measured",
  NoteWritten: "wrote a note",
  PhotoTaken: "took a photo",
  TimerRun: "ran the timer",
  PositionTicked: "ticked a fastener",
  JobPaused: "put the job aside",
  JobResumed: "went on",
  Retracted: "took an entry back",
  EndItemAccepted: "accepted at the end",
  BulletinAnswered: "answered a bulletin",
  JobClosed: "closed the job",
};
