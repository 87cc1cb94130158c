// Small makers of elements. Text goes in as text, never as markup.

/** An element with a class and text or children. */
export function make(tag, { className = "", text = null, inside = [] } = {}) {
  const node = document.createElement(tag);
  if (className) node.className = className;
  if (text !== null) node.textContent = text;
  node.append(...inside);
  return node;
}

export const at = (id) => document.getElementById(id);

/** Puts text into an element; an unchanged text is left alone, so that readers stay quiet. */
export function say(node, text) {
  if (node.textContent !== text) node.textContent = text;
}
