"""What can be measured of the drawings on a page: nothing outside, no name over another, letters that can be read."""

from __future__ import annotations

from playwright.sync_api import Page

LEAST_PX = 12
# Boxes are measured on the screen in CSS pixels. A name's box is taller than its letters: above and below it may lie over by a little.
WRONG = """least => [...document.querySelectorAll('svg[role=img]')].filter((svg) => svg.checkVisibility()).flatMap((svg) => {
  const frame = svg.getBoundingClientRect();
  const scale = svg.getScreenCTM()?.a ?? 1;
  const past = (box, room) =>
    box.left < frame.left - room || box.right > frame.right + room || box.top < frame.top - room || box.bottom > frame.bottom + room;
  const names = [...svg.querySelectorAll('text')].filter((node) => node.textContent.trim() !== '').map((node) =>
    ({ words: node.textContent.trim(), box: node.getBoundingClientRect(), px: parseFloat(getComputedStyle(node).fontSize) * scale }));
  const over = (a, b) => Math.min(a.right, b.right) - Math.max(a.left, b.left) > 1
    && Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 4;
  const shapes = [...svg.querySelectorAll('path, circle, rect')].filter((node) => past(node.getBoundingClientRect(), 2));
  return [
    ...names.filter(({ box }) => past(box, 1)).map(({ words }) => `“${words}” leaves its drawing`),
    ...(shapes.length > 0 ? [`${shapes.length} shapes leave the drawing`] : []),
    ...names.filter(({ px }) => px < least).map(({ words, px }) => `“${words}” is ${px.toFixed(1)} px`),
    ...names.flatMap((a, n) => names.slice(n + 1).filter((b) => over(a.box, b.box)).map((b) => `“${a.words}” covers “${b.words}”`)),
  ];
})"""


def drawn_wrong(page: Page) -> list[str]:
    """What is wrong with the drawings that are shown, in words; empty when nothing is."""
    found: list[str] = page.evaluate(WRONG, LEAST_PX)
    return found
