"""S1, S3 of a procedure's head: what a reader must be told before the first step.

Knows the head, and which kinds of work the steps do; plays nothing.
"""

from benchtrail.domain.checks.subject import Job
from benchtrail.domain.findings import Finding, Severity

NOTE, ERROR = Severity.NOTE, Severity.ERROR
NORMAL = "normal"


def check_disposal(job: Job) -> list[Finding]:
    """S3: a fluid is drained and nothing says where the old fluid goes. Source: common practice; the head of a work
    package names waste (as in MIL-STD-40051, restated)."""
    found = job.gather()
    drained = sorted({action["object"] for step in job.pack["steps"] for action in step["do"]
                      if action["verb"] == "drain" and action["object"] in job.pack["fluids"]})
    for key in drained:
        if not job.text.head["disposal"] and not job.pack["fluids"][key]["disposal"]:
            found.add("S3", NOTE, "disposal_missing", job.head("procedure"), object=job.machine.name(key))
    return found.findings()


def check_safety_class(job: Job) -> list[Finding]:
    """S1: the steps disturb something of a safety class that the head does not name: who looks for brake work must find
    it, and who must not do it must be told."""
    found = job.gather()
    touched = {action["object"] for step in job.pack["steps"] for action in step["do"]
               if action["verb"] in ("undo", "slacken", "remove", "tighten")}
    classes = {entry["safety"] for table in (job.pack["joints"], job.pack["parts"]) for key, entry in table.items()
               if key in touched}
    for missing in sorted(classes - set(job.text.head["safety"]) - {NORMAL}):
        things = [key for table in ("joints", "parts") for key in sorted(touched & job.machine.tables[table].keys())
                  if job.machine.tables[table][key]["safety"] == missing]
        found.add("S1", ERROR, "safety_not_named", job.head("safety"), safety=missing,
                  object=job.machine.name(things[0]))
    return found.findings()
