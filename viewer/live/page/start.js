// Where there is no scene yet: those that come along, and the questions for a first room.

import { button, field, made } from "./made.js";

/** Shows what can be opened; `ask(act, what)` opens it, or has answers tried. */
export class Start {
  constructor(holder, ask) {
    Object.assign(this, { holder, ask, answers: {} });
  }

  fill({ shipped, form, folder }) {
    this.holder.hidden = false;
    const focused = this.holder.contains(document.activeElement) ? document.activeElement : null;
    const scenes = shipped.map((one) => {
      const open = button("", () => this.ask("open", { scene: one.file }));
      open.append(made("b", { textContent: one.title }), made("span", { textContent: one.teaches }));
      return made("li", {}, open);
    });
    const steps = new Map();
    for (const question of form.questions) {
      if (!steps.has(question.step)) steps.set(question.step, []);
      steps.get(question.step).push(this.question(question));
    }
    const fields = [...steps].map(([step, questions]) => made("fieldset", {}, made("legend", { textContent: step }), ...questions));
    const parts = [
      made("section", {}, made("h2", { textContent: "Try a room that comes along" }),
        made("p", { className: "soft", textContent: `A copy is written to ${folder}.` }), made("ul", { className: "rooms" }, ...scenes)),
      made("section", {}, made("h2", { textContent: "Or begin with your own" }), ...fields, this.end(form)),
    ];
    this.holder.replaceChildren(...parts);
    const again = focused && this.holder.querySelector(`[data-key="${CSS.escape(focused.dataset.key ?? "")}"]`);
    again?.focus();
    if (again?.type === "text" && focused.value !== again.value) again.value = focused.value; // as far as it is typed
  }

  question({ key, words, choices, answer, usual, trouble }) {
    let input;
    if (choices.length) {
      input = made("select", {}, made("option", { value: "", textContent: usual ? `${usual} (usual)` : "choose" }),
        ...choices.map((choice) => made("option", { value: choice, textContent: choice, selected: choice === answer })));
    } else {
      input = made("input", { type: "text", value: answer, placeholder: usual ? `${usual} (usual)` : "", autocomplete: "off", spellcheck: false });
    }
    input.dataset.key = key;
    const answered = () => {
      if (input.value === (this.answers[key] ?? answer)) return;
      this.answers[key] = input.value;
      this.ask("answers", { answers: this.answers });
    };
    input.addEventListener("change", answered);
    input.addEventListener("blur", answered); // what was typed before the form was filled again is no change to the browser
    const parts = [field(words, input)];
    if (trouble) {
      const id = `trouble-${key}`;
      input.setAttribute("aria-describedby", id);
      input.setAttribute("aria-invalid", "true");
      parts.push(made("p", { id, className: "trouble", textContent: trouble }));
    }
    return made("div", {}, ...parts);
  }

  end(form) {
    const holder = made("div", {});
    if (form.sketch) {
      const drawn = made("pre", { textContent: form.sketch, role: "img" });
      drawn.setAttribute("aria-label", "A sketch of the room so far, from above and from the side");
      holder.append(drawn);
    }
    for (const note of form.notes) holder.append(made("p", { className: "soft", textContent: note }));
    if (!form.complete) return holder;
    const file = made("input", { type: "text", value: this.file ?? form.file, autocomplete: "off", spellcheck: false });
    file.dataset.key = "file";
    file.addEventListener("change", () => { this.file = file.value; });
    const begin = () => this.ask("begin", { answers: this.answers, file: file.value });
    const write = button("Write the scene and open it", begin, { className: "unsaved" });
    write.dataset.key = "write";
    holder.append(field("File", file), write);
    return holder;
  }
}
