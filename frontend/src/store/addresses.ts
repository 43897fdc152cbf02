/** blob: addresses of pictures. Each holds its bytes in memory, so only the last ones used are kept. */
const MOST = 40;
const made = new Map<string, string>();

/** The address made for this key earlier, if it still stands. */
export function knownAddress(key: string): string | undefined {
  const address = made.get(key);
  if (address === undefined) return undefined;
  made.delete(key);
  made.set(key, address);
  return address;
}

/** A new address for bytes; the one unused for longest is given up. A picture on screen stays, as it is decoded already. */
export function newAddress(key: string, data: ArrayBuffer, mime: string): string {
  const address = URL.createObjectURL(new Blob([data], { type: mime }));
  made.set(key, address);
  const [oldest] = made;
  if (made.size > MOST && oldest) {
    made.delete(oldest[0]);
    URL.revokeObjectURL(oldest[1]);
  }
  return address;
}
