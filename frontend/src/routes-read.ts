/** Reads the parameters of an address under a pattern. Knows no screen. */

/** The parameters of a path under a pattern; null when it does not fit, or carries an encoding that cannot be read. */
export function parametersOf(pattern: string, pathname: string): Record<string, string> | null {
  const [wanted, given] = [pattern.split("/"), pathname.replace(/\/+$/, "").split("/")];
  if (pattern === "/") return /^\/+$/.test(pathname) ? {} : null;
  if (wanted.length !== given.length) return null;
  const found: Record<string, string> = {};
  for (const [n, part] of wanted.entries()) {
    const value = given[n] ?? "";
    if (!part.startsWith(":")) {
      if (part !== value) return null;
      continue;
    }
    const plain = decoded(value);
    if (plain === null || plain === "") return null;
    found[part.slice(1)] = plain;
  }
  return found;
}

function decoded(text: string): string | null {
  try {
    return decodeURIComponent(text);
  } catch {
    return null;
  }
}
