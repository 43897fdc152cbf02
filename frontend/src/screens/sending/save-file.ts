/** Hands bytes to the phone as a file. Knows the browser's download; nothing of what the bytes are. */

/** The address is taken back later than the click: some browsers read it only after the handler has returned. */
export function saveFile(file: Blob, name: string): void {
  const address = URL.createObjectURL(file);
  const link = document.createElement("a");
  link.href = address;
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
}
