// What the browser's authenticator is asked and what it answers, between bytes and base64url. Knows WebAuthn's shapes; no pages.
import { call } from "./api";

type Options = { challenge: string; user?: { id: string }; excludeCredentials?: { id: string }[]; allowCredentials?: { id: string }[] };

const bytes = (text: string): Uint8Array<ArrayBuffer> => Uint8Array.from(atob(text.replaceAll("-", "+").replaceAll("_", "/")), (letter) => letter.charCodeAt(0));
const text = (buffer: ArrayBuffer | null): string =>
  btoa(String.fromCharCode(...new Uint8Array(buffer ?? new ArrayBuffer(0)))).replaceAll("+", "-").replaceAll("/", "_").replace(/=+$/, "");

/** Browsers make passkeys only for a site with a name, over HTTPS or on this computer itself. */
export const passkeysHere = (): boolean =>
  "PublicKeyCredential" in window && isSecureContext && !/^\[|^[\d.]+$/.test(location.hostname);

function asked<T>(options: Options): T {
  const named = (list: { id: string }[] | undefined) => list?.map((one) => ({ ...one, id: bytes(one.id) }));
  const { excludeCredentials, allowCredentials, user } = options;
  return {
    ...options,
    challenge: bytes(options.challenge),
    ...(user && { user: { ...user, id: bytes(user.id) } }),
    ...(excludeCredentials && { excludeCredentials: named(excludeCredentials) }),
    ...(allowCredentials && { allowCredentials: named(allowCredentials) }),
  } as T;
}

/** Null when the person let it be. */
async function answered(act: () => Promise<Credential | null>): Promise<PublicKeyCredential | null> {
  try {
    return (await act()) as PublicKeyCredential | null;
  } catch (error) {
    if (error instanceof DOMException) return null;
    throw error;
  }
}

/** Has a passkey made and kept; false when the person or the device let it be. */
export async function addPasskey(password: string, label: string): Promise<boolean> {
  const { options } = await call<{ options: Options }>("POST", "/desk/passkeys/begin", { password });
  const made = await answered(() => navigator.credentials.create({ publicKey: asked<PublicKeyCredentialCreationOptions>(options) }));
  if (!made) return false;
  const { clientDataJSON, attestationObject } = made.response as AuthenticatorAttestationResponse;
  const response = { clientDataJSON: text(clientDataJSON), attestationObject: text(attestationObject) };
  await call("POST", "/desk/passkeys", { label, credential: { id: made.id, rawId: text(made.rawId), type: made.type, response } });
  return true;
}

/** Signs in with a passkey; false when the person or the device let it be. */
export async function signInWithPasskey(): Promise<boolean> {
  const { options } = await call<{ options: Options }>("POST", "/passkeys/begin", {});
  const made = await answered(() => navigator.credentials.get({ publicKey: asked<PublicKeyCredentialRequestOptions>(options) }));
  if (!made) return false;
  const { clientDataJSON, authenticatorData, signature, userHandle } = made.response as AuthenticatorAssertionResponse;
  const response = { clientDataJSON: text(clientDataJSON), authenticatorData: text(authenticatorData), signature: text(signature), userHandle: text(userHandle) };
  await call("POST", "/passkeys/session", { credential: { id: made.id, rawId: text(made.rawId), type: made.type, response } });
  return true;
}
