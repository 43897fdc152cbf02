/** Lets the effects of a file's last drawing run while there is still a page: Preact runs them 35 ms later when no frame was drawn. */
import { afterAll } from "vitest";

afterAll(async () => {
  if (typeof document !== "undefined") await new Promise((resolve) => setTimeout(resolve, 150));
});
