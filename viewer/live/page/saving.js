// How work is saved: always to a new file, never over the one that was opened.

import { button, field, made, plain } from "./made.js";

/** Asks as what and where to save; `save(what)` is called with the answer. */
export function askToSave(dialog, offers, save) {
  const close = button("Close", () => dialog.close());
  const told = made("p", { className: "told", role: "status" });
  const parts = [made("h2", { id: "saving-title", textContent: "Save the changes" })];
  const list = made("ul", { className: "changes" }, ...offers.words.map((line) => made("li", {}, made("bdi", { textContent: line }))));
  parts.push(offers.words.length ? list : made("p", { textContent: "Nothing is changed under this scheme." }));
  if (offers.words.length) {
    const file = made("input", { type: "text", value: offers.files.overlay, autocomplete: "off", spellcheck: false, required: true });
    const name = made("input", { type: "text", value: offers.files.name, autocomplete: "off", spellcheck: false });
    const nameField = field("Name of the scheme", name);
    nameField.hidden = true;
    const kinds = [["overlay", "A file of changes, laid over the scene"], ["scheme", "A copy of the scene with one more scheme"]].map(([kind, words], index) => {
      const choice = made("input", { type: "radio", name: "kind", value: kind, checked: index === 0 });
      choice.addEventListener("change", () => {
        nameField.hidden = kind !== "scheme";
        file.value = offers.files[kind];
      });
      return made("label", { className: "choice" }, choice, words);
    });
    const form = made("form", { method: "dialog" }, made("fieldset", {}, made("legend", { textContent: "As" }), ...kinds),
      nameField, field(`File, beside ${offers.files.opened}`, file), made("button", { type: "submit", textContent: "Save" }));
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      told.textContent = "";
      save({ as: form.elements.kind.value, file: file.value, name: name.value });
    });
    parts.push(form);
  }
  dialog.replaceChildren(...parts, told, close);
  if (!dialog.open) dialog.showModal();
}

/** Tells in the dialog what became of it. */
export function answerSaved(dialog, { words, done }) {
  const told = dialog.querySelector(".told");
  if (!told) return;
  told.textContent = plain(words);
  told.classList.toggle("alarm", !done);
}
