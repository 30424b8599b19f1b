/**
 * The twelve keys of a phone, with the letters of ITU-T E.161.
 *
 * In number mode a key writes its digit. In letter mode the same key pressed again within a second goes
 * on to its next letter, and after the letters comes the digit. The star changes the mode, # is a blank.
 */
import { at, make, unseen } from "./elements.js";

const KEYS = [
  ["1", "/.,?1"],
  ["2", "ABC2"],
  ["3", "DEF3"],
  ["4", "GHI4"],
  ["5", "JKL5"],
  ["6", "MNO6"],
  ["7", "PQRS7"],
  ["8", "TUV8"],
  ["9", "WXYZ9"],
  ["*", ""],
  ["0", "0"],
  ["#", " "],
];
const NEXT_LETTER_MS = 1000;

/**
 * Puts the keys on the phone; `changed` is called when they changed the text.
 *
 * Gives `begin`, for a new text with labels in a language, and `rest`, when the text was changed otherwise.
 */
export const layKeys = (text, changed) => {
  let letters = false;
  let labels = null;
  let tapped = null; // the key under way: { key, turn, start }
  let timer = 0;

  const show = () => {
    at("mode").textContent = letters ? labels.lettersMode : labels.numbersMode;
    const choice = tapped ? [...tapped.key[1]] : [];
    at("letters").replaceChildren(
      ...choice.map((letter, place) => make(place === tapped.turn ? "b" : "span", {}, letter)),
    );
  };
  const rest = () => {
    clearTimeout(timer);
    tapped = null;
    show();
  };
  const write = (what, start, end) => {
    text.setRangeText(what, start, end, "end");
    changed();
  };

  const press = (key) => {
    const [digit, choice] = key;
    if (digit === "*") {
      letters = !letters;
      label(labels);
      return rest();
    }
    if (digit === "#" || !letters || choice.length === 1) {
      rest();
      return write(digit === "#" ? " " : digit, text.selectionStart, text.selectionEnd);
    }
    clearTimeout(timer);
    if (tapped?.key === key) {
      tapped.turn = (tapped.turn + 1) % choice.length;
      write(choice[tapped.turn], tapped.start, tapped.start + 1);
    } else {
      tapped = { key, turn: 0, start: text.selectionStart };
      write(choice[0], text.selectionStart, text.selectionEnd);
    }
    timer = setTimeout(rest, NEXT_LETTER_MS);
    return show();
  };

  const buttons = KEYS.map((key) => {
    const button = make("button", { type: "button" });
    button.addEventListener("click", () => press(key));
    return button;
  });
  at("keys").replaceChildren(...buttons);

  const label = (words) => {
    labels = words;
    const under = { "*": letters ? "123" : "abc", "#": words.space, 0: "" };
    const aloud = { "*": letters ? words.toNumbers : words.toLetters, "#": words.space };
    for (const [place, [digit, choice]] of KEYS.entries()) {
      const small = under[digit] ?? choice.slice(0, -1).toLowerCase();
      const said = aloud[digit];
      buttons[place].replaceChildren(
        make("b", said ? { "aria-hidden": "true" } : {}, digit),
        make("small", { "aria-hidden": "true" }, small),
        ...(said ? [unseen(said)] : []),
      );
    }
    show();
  };
  const begin = (words) => {
    letters = false; // a text begins with a site's number
    label(words);
    rest();
  };
  return { begin, rest };
};
