// A way back of its own for a page in a frame: without it every step walked would be a step back for the desk around it.

const behind: { state: unknown; url: string }[] = [];

export function keepOwnHistory(): void {
  const replace = history.replaceState.bind(history);
  history.pushState = (state: unknown, unused: string, url?: string | URL | null) => {
    behind.push({ state: history.state, url: location.pathname + location.search + location.hash });
    replace(state, unused, url ?? null);
  };
  history.back = () => {
    const before = behind.pop();
    if (!before) return;
    replace(before.state, "", before.url);
    dispatchEvent(new PopStateEvent("popstate", { state: before.state }));
  };
}
