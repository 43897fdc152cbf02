// The frame of the desk: who is signed in, which sheet lies on top.
import { useEffect } from "preact/hooks";
import { AccountSheet } from "./account-sheet";
import { ApartSheet } from "./apart-sheet";
import { BulletinsSheet } from "./bulletins-sheet";
import { JobFileSheet } from "./job-file-sheet";
import { JobSheet } from "./job-sheet";
import { JobsSheet } from "./jobs-sheet";
import { LibrarySheet } from "./library-sheet";
import { Link } from "./parts";
import { MachinesSheet } from "./machines-sheet";
import { PasswordPage } from "./password-page";
import { PeopleSheet } from "./people-sheet";
import { PhonesSheet } from "./phones-sheet";
import { PlanSheet } from "./plan-sheet";
import { ReadingsSheet } from "./readings-sheet";
import { ReviewSheet, ReviewsSheet } from "./review-sheet";
import { SignIn } from "./sign-in";
import { StepsSheet } from "./steps-sheet";
import { askSession, mayOwn, path, session, signOut } from "./state";
import { WritingFileSheet } from "./workfiles/writing-file-sheet";
import { WritingSheet } from "./workfiles/writing-sheet";

const SHEETS = [
  { to: "/desk", words: "Jobs" },
  { to: "/desk/library", words: "Library" },
  { to: "/desk/writing", words: "Writing" },
  { to: "/desk/review", words: "Review" },
  { to: "/desk/plan", words: "Plan" },
  { to: "/desk/machines", words: "Machines" },
  { to: "/desk/phones", words: "Phones" },
];

// Sheets that are reached from the jobs and stand under them.
const OF_JOBS = /^\/desk\/(jobs|bulletins|apart|job-files)(\/|$)/;

function Sheet() {
  const [, , first, second, third] = path.value.split("/");
  if (!first) return <JobsSheet />;
  if (first === "jobs" && second) return <JobSheet job={decodeURIComponent(second)} />;
  if (first === "bulletins") return <BulletinsSheet />;
  if (first === "apart") return <ApartSheet />;
  if (first === "job-files") return <JobFileSheet />;
  if (first === "library") return second ? <StepsSheet procedure={decodeURIComponent(second)} /> : <LibrarySheet />;
  if (first === "writing") return second ? <WritingFileSheet id={decodeURIComponent(second)} /> : <WritingSheet />;
  if (first === "plan") return <PlanSheet />;
  if (first === "readings") return second && third ? <ReadingsSheet model={decodeURIComponent(second)} check={decodeURIComponent(third)} /> : <ReadingsSheet />;
  if (first === "machines") return <MachinesSheet />;
  if (first === "phones") return <PhonesSheet />;
  if (first === "review") return second ? <ReviewSheet id={decodeURIComponent(second)} /> : <ReviewsSheet />;
  if (first === "people" && mayOwn()) return <PeopleSheet />;
  if (first === "account") return <AccountSheet />;
  return (
    <main class="sheet">
      <h1>There is no such sheet</h1>
      <p>
        The address {path.value} leads nowhere at the desk. <Link to="/desk">See the jobs</Link>.
      </p>
    </main>
  );
}

export function Desk() {
  useEffect(() => void askSession(), []);
  const who = session.value;
  if (path.value === "/desk/password") return <PasswordPage />;
  if (who === undefined) return <p class="quiet waiting">Asking the server who is signed in …</p>;
  if (who === null) return <SignIn />;
  const here = (to: string) => (to === "/desk" ? path.value === "/desk" || OF_JOBS.test(path.value) : path.value.startsWith(to) || (to === "/desk/machines" && path.value.startsWith("/desk/readings")));
  return (
    <>
      <header class="band">
        <div class="band-name">
          <strong>{who.dealer.name}</strong>
          <span>Benchtrail desk</span>
        </div>
        <nav aria-label="Sheets">
          {[...SHEETS, ...(mayOwn() ? [{ to: "/desk/people", words: "People" }] : [])].map(({ to, words }) => (
            <Link key={to} to={to} current={here(to)}>
              {words}
            </Link>
          ))}
        </nav>
        <div class="band-who">
          <Link to="/desk/account" current={here("/desk/account")}>
            {who.user.name}, {who.user.role}
          </Link>
          <button onClick={() => void signOut()}>Sign out</button>
        </div>
        {who.dealer.invented && <p class="invented">Invented dealer, invented machines. Not for use on a real machine.</p>}
      </header>
      <Sheet />
    </>
  );
}
