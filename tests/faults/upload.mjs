// Uploads one file with tus-js-client, told on standard input: {root, endpoint, file, cookie, metadata, along}; `along`: the first
// piece goes with the announcement.
import { createReadStream, readFileSync, statSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";

const { root, endpoint, file, cookie, metadata, along } = JSON.parse(readFileSync(0, "utf8"));
const tus = createRequire(join(root, "frontend", "package.json"))("tus-js-client");
await new Promise((done, failed) => {
  const upload = new tus.Upload(createReadStream(file), {
    endpoint, metadata, uploadSize: statSync(file).size, chunkSize: 64 * 1024, uploadDataDuringCreation: along, retryDelays: Array(12).fill(20),
    headers: { Cookie: cookie, "X-Benchtrail": "1" }, onError: failed, onSuccess: done,
  });
  upload.start();
});
