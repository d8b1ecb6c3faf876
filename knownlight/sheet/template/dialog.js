// One question at a time, in the page's own dialog.
const Dialog = (() => {
  const find = (id) => document.getElementById(id);

  // body: paragraphs or elements. answers: [label, value]; the last one is the safe one. Resolves with a value; Escape is the safe one.
  function ask(title, body, answers) {
    const dialog = find("dialog");
    find("dialog-title").textContent = title;
    find("dialog-body").replaceChildren(...body.map((each) => (
      typeof each === "string" ? Object.assign(document.createElement("p"), { textContent: each }) : each)));
    return new Promise((resolve) => {
      let chosen = answers.at(-1)[1];
      find("dialog-tools").replaceChildren(...answers.map(([label, value]) => {
        const button = Object.assign(document.createElement("button"), { type: "button", textContent: label });
        button.addEventListener("click", () => {
          chosen = value;
          dialog.close();
        });
        return button;
      }));
      dialog.addEventListener("close", () => resolve(chosen), { once: true });
      dialog.showModal();
      find("dialog-tools").lastElementChild.focus();
    });
  }

  // A list of words, cut where it becomes long.
  function list(words, most = 12) {
    const made = document.createElement("ul");
    for (const text of words.slice(0, most)) made.append(Object.assign(document.createElement("li"), { textContent: text }));
    if (words.length > most) made.append(Object.assign(document.createElement("li"), { textContent: `and ${words.length - most} more` }));
    return made;
  }

  return Object.freeze({ ask, list });
})();

