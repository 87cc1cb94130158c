"""Scripts that measure a page in the browser, for several test files."""

import re
from typing import Any

SPILLS = """() => [...document.querySelectorAll("body > *, .digits, .label, button, li, h1, p")]
  .filter((node) => {
    if (node.closest("[hidden], .unseen, #heard, #understood") || !node.textContent) return false;
    const box = node.getBoundingClientRect();
    const line = node.matches(".digits") && node.scrollWidth > node.clientWidth + 1;
    return line || box.left < -1 || box.right > innerWidth + 1 || box.bottom > innerHeight + 1;
  }).map((node) => `${node.id || node.className || node.tagName}: ${node.textContent}`)"""
OVERLAPS = """() => {
  const shown = ["bar", "warning", "readback", "content", "caution", "targets", "foot"]
    .map((id) => document.getElementById(id)).filter((node) => node.offsetHeight > 0);
  const inside = [...document.querySelectorAll("#content > *")];
  const boxes = shown.map((node) => node.getBoundingClientRect());
  const apart = (a, b) => a.right <= b.left + 1 || b.right <= a.left + 1 ||
    a.bottom <= b.top + 1 || b.bottom <= a.top + 1;
  const pairs = [];
  boxes.forEach((box, i) => boxes.slice(i + 1).forEach((other, j) => {
    const named = [shown[i].id, shown[i + 1 + j].id];
    // The foot may stand in the ten millimetres below the targets.
    if (!apart(box, other) && named.join() !== "targets,foot") pairs.push(named.join(" on "));
  }));
  const content = document.getElementById("content").getBoundingClientRect();
  inside.forEach((node) => {
    if (node.getBoundingClientRect().bottom > content.bottom + 1) pairs.push(node.textContent);
  });
  return pairs;
}"""
# A text that is wider or higher than what holds it.
CUT_OFF = """() => [...document.querySelectorAll("button, h1")]
  .filter((node) => node.scrollWidth > node.clientWidth + 1 ||
    (node.matches("button") && node.scrollHeight > node.clientHeight + 1))
  .map((node) => node.textContent)"""


def screens(page: Any) -> int:
    found = re.search(r" of (\d+)", page.locator("#place").text_content())
    return int(found[1]) if found else 1
