/** What lies over a screen for one act: a note, a photo, a drawing. The phone's own way back closes it, and so does Escape. */
import type { ComponentChildren } from "preact";
import { useEffect, useRef } from "preact/hooks";
import { Icon } from "./icon";
import { goBack, path } from "./where";

type Props = { title: string; close: string; children: ComponentChildren; act?: ComponentChildren };

export const closeSheet = (): void => goBack(path.peek());

export function Sheet({ title, close, children, act }: Props) {
  const heading = useRef<HTMLHeadingElement>(null);
  useEffect(() => {
    const before = document.activeElement;
    heading.current?.focus();
    const onKey = (event: KeyboardEvent) => event.key === "Escape" && closeSheet();
    addEventListener("keydown", onKey);
    return () => {
      removeEventListener("keydown", onKey);
      if (before instanceof HTMLElement) before.focus({ preventScroll: true });
    };
  }, []);
  return (
    <section class="sheet" role="dialog" aria-modal="true" aria-label={title}>
      <div class="sheet-body">
        <h2 ref={heading} tabIndex={-1}>
          {title}
        </h2>
        {children}
      </div>
      <div class="acts">
        <button type="button" class="press upright" onClick={closeSheet}>
          <Icon name="back" />
          {close}
        </button>
        {act}
      </div>
    </section>
  );
}
