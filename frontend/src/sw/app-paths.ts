/**
 * Which paths are screens of the phone app: the worker answers a navigation to one of these from the cached shell, at once.
 * An allow-list: whatever is not named here goes to the server (api, packs, pictures, desk, healthz, downloads, the worker itself).
 * A new first segment in routes.ts must be added here; a test holds the two together.
 */
export const APP_PATHS = ["about", "enrol", "job", "job-link", "library", "machine", "numbers", "procedure", "sending", "settings", "tools"];

export function isAppPath(pathname: string): boolean {
  const [, first = ""] = pathname.split("/");
  return first === "" ? pathname === "/" : APP_PATHS.includes(first);
}
