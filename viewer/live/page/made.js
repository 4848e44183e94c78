// Parts of the page, made of what they say and what is in them.

const TURNING = /[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]/g;
const SAID = new Set(["textContent", "title", "ariaLabel"]);

/** Text without signs that would turn what stands around it. */
export const plain = (text) => text.replace(TURNING, "");

/** An element with what it is given and what is in it; what is to be read of it is plain. */
export function made(tag, what = {}, ...inside) {
  const element = document.createElement(tag);
  for (const [key, value] of Object.entries(what)) element[key] = SAID.has(key) ? plain(value) : value;
  element.append(...inside.map((part) => (typeof part === "string" ? plain(part) : part)));
  return element;
}

export function button(words, act, what = {}) {
  const element = made("button", { type: "button", textContent: words, ...what });
  element.addEventListener("click", act);
  return element;
}

/** An input with words before it. */
export const field = (words, input) => made("label", { className: "field" }, made("span", { textContent: words }), input);

const offered = new WeakMap();

/** Has a list offer `options`, each `{id, words}`; one that does already is left alone, since it may be open. */
export function offer(list, options, value) {
  const said = JSON.stringify(options);
  if (offered.get(list) !== said) {
    list.replaceChildren(...options.map(({ id, words }) => made("option", { value: id, textContent: words })));
    offered.set(list, said);
  }
  list.value = value;
}
