// A one-time code with which someone sets a password, shown to whoever made it.
import { Code, when } from "./parts";

export type PasswordCode = { name: string; code: string; link: string; qr_svg: string; expires_at: string };

export function CodeShown({ code }: { code: PasswordCode }) {
  return (
    <div class="code-card" aria-live="polite">
      <Code svg={code.qr_svg} label={`QR code with which ${code.name} sets a password: ${code.link}`} />
      <div>
        <p>
          For <b>{code.name}</b>, once, until {when(code.expires_at)}:
        </p>
        <p class="code-words">{code.code}</p>
        <p class="quiet breakable">{code.link}</p>
      </div>
    </div>
  );
}
