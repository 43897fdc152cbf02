/** Text broken into lines, for drawings: SVG breaks none itself. */

/** Lines of at most `letters` letters, and never fewer than four; a word that is longer alone is broken. */
export function linesOf(text: string, letters: number): string[] {
  const most = Math.max(4, Math.floor(letters));
  const lines: string[] = [];
  let line = "";
  for (const word of text.split(" ").flatMap((one) => one.match(new RegExp(`.{1,${most}}`, "gu")) ?? [])) {
    if (line && line.length + 1 + word.length > most) {
      lines.push(line);
      line = word;
    } else line = line ? `${line} ${word}` : word;
  }
  return line ? [...lines, line] : lines;
}
