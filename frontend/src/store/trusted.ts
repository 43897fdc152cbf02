/**
 * The only place that turns text into the address of a script. Under `require-trusted-types-for 'script'; trusted-types benchtrail`
 * workers can be started in no other way, so an injected string cannot become code.
 */
interface ScriptPolicy {
  createScriptURL(address: string): unknown;
}
type Factory = { createPolicy(name: string, rules: { createScriptURL(address: string): string }): ScriptPolicy };

let policy: ScriptPolicy | null = null;

/** The address of one of our own scripts, in the form this browser wants. Throws TypeError on any other address. */
export function ownScript(address: string): string {
  policy ??= made();
  return policy.createScriptURL(address) as string;
}

function made(): ScriptPolicy {
  const rules = { createScriptURL: checked };
  const factory = (globalThis as { trustedTypes?: Factory }).trustedTypes;
  return factory ? factory.createPolicy("benchtrail", rules) : rules;
}

function checked(address: string): string {
  const target = new URL(address, location.origin);
  const own = target.origin === location.origin && (target.pathname === "/sw.js" || /^\/assets\/[\w.-]+\.js$/.test(target.pathname) || import.meta.env.DEV);
  if (!own) throw new TypeError(`${target.pathname} is not a script of this app`);
  return address;
}
