/** The plain page: heading, what stands on it, the quiet line, and the four places within reach of the thumb. */
import type { ComponentChildren } from "preact";
import { Icon, type IconName } from "./icon";
import { useHeading } from "./hooks";
import { Said } from "./said";
import { goBack, path } from "./where";

const PLACES: { to: string; name: string; icon: IconName }[] = [
  { to: "/", name: "Bench", icon: "bench" },
  { to: "/library", name: "Library", icon: "library" },
  { to: "/sending", name: "Sending", icon: "sending" },
  { to: "/settings", name: "Settings", icon: "settings" },
];

type PageProps = { title: string; sub?: ComponentChildren; covered?: boolean; children: ComponentChildren; act?: ComponentChildren };

export function Page({ title, sub, covered = false, children, act }: PageProps) {
  const heading = useHeading(title);
  return (
    <div class="page" inert={covered}>
      <main class="page-body">
        <header class="page-head">
          <h1 ref={heading} tabIndex={-1}>
            {title}
          </h1>
          {sub && <p class="soft">{sub}</p>}
        </header>
        {children}
        <Said />
      </main>
      <footer class="page-foot">
        {act && <div class="acts">{act}</div>}
        <Places />
      </footer>
    </div>
  );
}

function Places() {
  return (
    <nav class="places" aria-label="Places">
      <ul>
        {PLACES.map(({ to, name, icon }) => (
          <li key={to}>
            <a href={to} aria-current={path.value === to ? "page" : undefined}>
              <Icon name={icon} />
              {name}
            </a>
          </li>
        ))}
      </ul>
    </nav>
  );
}

export function BackPress({ otherwise, words = "Back" }: { otherwise: string; words?: string }) {
  return (
    <button type="button" class="press" onClick={() => goBack(otherwise)}>
      <Icon name="back" />
      {words}
    </button>
  );
}

/** A row that leads to another screen. */
export function Leads({ to, name, children }: { to: string; name: string; children?: ComponentChildren }) {
  return (
    <a class="leads" href={to}>
      <span>
        <span class="leads-name">{name}</span>
        {children}
      </span>
      <Icon name="open" />
    </a>
  );
}
