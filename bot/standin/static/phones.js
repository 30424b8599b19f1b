/** The page with the phones: who has one, what it shows, and looking again every second. */
import { day, hour, setZone, showLines } from "./conversation.js";
import { at, make } from "./elements.js";
import { examplesFor } from "./examples.js";
import { showFields } from "./fields.js";
import { layKeys } from "./keypad.js";
import { LABELS } from "./words.js";

const EVERY_MS = 1000;
const ONE_TEXT = 160;
const JOINED_TEXT = 153; // of a long text each part spends some letters on being joined
const STRANGER = {
  name: "Somebody else",
  phone: "+12705550199",
  language: "en",
  roles: [],
};
const TONGUES = { en: "English", es: "Spanish" };
const withBoard = document.body.dataset.board === "yes";

const phones = new Map(); // number -> { person, lines, seen, draft }
let chosen = null; // the number of the phone that is shown
let byHand = false; // whether somebody chose it
let board = { fields: [] };

const text = at("text");
const keypad = layKeys(text, () => counted());

const current = () => phones.get(chosen);
const labelsOf = (person) => LABELS[person.language] ?? LABELS.en;

// People

const addPhone = (person) => {
  const known = phones.get(person.phone);
  if (known) known.person = person;
  else phones.set(person.phone, { person, lines: [], seen: 0, draft: "" });
};

const isStranger = ({ person }) => Number(person.roles.length === 0);

const unread = (phone) => phone.lines.slice(phone.seen).filter((line) => line.direction === "in").length;

const personButton = ([number, phone]) => {
  const { person } = phone;
  const news = number === chosen ? 0 : unread(phone);
  const button = make(
    "button",
    { type: "button", "data-phone": number, "aria-current": number === chosen ? "true" : null },
    make("span", { class: "name" }, person.name),
    make("span", { class: "role" }, person.roles.join(", ") || "not in the season"),
    make("abbr", { class: "tongue", title: TONGUES[person.language] }, person.language.toUpperCase()),
    news ? make("span", { class: "unread" }, `${news} new`) : null,
  );
  button.addEventListener("click", () => {
    byHand = true;
    choose(number);
  });
  return make("li", {}, button);
};

let peopleShown = "";
const showPeople = () => {
  const now = JSON.stringify([chosen, ...[...phones].map(([number, one]) => [number, one.person, unread(one)])]);
  if (now === peopleShown) return;
  peopleShown = now;
  const list = at("people");
  const focused = list.contains(document.activeElement) ? document.activeElement.dataset.phone : null;
  const ranked = [...phones].sort(([, one], [, other]) => isStranger(one) - isStranger(other));
  list.replaceChildren(...ranked.map(personButton));
  if (focused) list.querySelector(`[data-phone="${focused}"]`)?.focus();
};

/** Chooses the phone that the address names, else the first of the season. */
const chooseFirst = () => {
  const wanted = `+${location.hash.slice(1)}`;
  const ofSeason = [...phones.values()].find((phone) => !isStranger(phone)) ?? phones.get(STRANGER.phone);
  choose(phones.has(wanted) ? wanted : ofSeason.person.phone);
};

const choose = (number) => {
  if (chosen === number) return;
  if (chosen !== null) current().draft = text.value;
  chosen = number;
  history.replaceState(null, "", `#${number.slice(1)}`);
  const { person, draft } = current();
  const labels = labelsOf(person);
  at("phone").lang = person.language;
  at("owner").textContent = person.name;
  at("talk").setAttribute("aria-label", labels.conversation);
  at("keys").setAttribute("aria-label", labels.keys);
  text.setAttribute("aria-label", labels.message);
  at("send").textContent = labels.send;
  at("clear").textContent = labels.clear;
  text.value = draft;
  keypad.begin(labels);
  counted();
  showConversation(0);
  showPeople();
};

// The phone

const showConversation = (from) => {
  const phone = current();
  showLines(phone.lines, from, phone.person.language, labelsOf(phone.person));
  phone.seen = phone.lines.length;
  showExamples();
};

const counted = () => {
  const length = text.value.length;
  const labels = labelsOf(current().person);
  const parts = Math.ceil(length / JOINED_TEXT);
  const over = length > ONE_TEXT;
  at("count").textContent = over
    ? `${length} ${labels.letters}, ${parts} ${labels.texts}`
    : `${length}/${ONE_TEXT} ${labels.letters}`;
  at("count").classList.toggle("over", over);
  at("send").disabled = text.value.trim() === "";
};

let examplesShown = "";
const showExamples = () => {
  const { person, lines } = current();
  const examples = examplesFor(person, board.fields, lines);
  if (examples.join("\n") === examplesShown) return;
  examplesShown = examples.join("\n");
  at("examples").replaceChildren(
    ...examples.map((example) => {
      const button = make("button", { type: "button" }, example);
      button.addEventListener("click", () => {
        text.value = example;
        keypad.rest();
        counted();
        // Where a finger presses, focus would bring up a keyboard over the phone.
        if (matchMedia("(pointer: fine)").matches) text.focus();
      });
      return make("li", {}, button);
    }),
  );
};

const send = async () => {
  const words = text.value;
  const number = chosen;
  if (words.trim() === "") return;
  keypad.begin(labelsOf(current().person));
  text.value = "";
  counted();
  try {
    const answer = await fetch(`/phones/${encodeURIComponent(number)}/texts`, {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify({ text: words }),
    });
    if (!answer.ok) throw new Error(String(answer.status));
    trouble("text", "");
    look();
  } catch {
    phones.get(number).draft = words;
    if (chosen === number && text.value === "") text.value = words;
    counted();
    trouble("text", "The text was not sent: the stand-in carrier did not take it.");
  }
};

// Looking again

const troubles = new Map();
const trouble = (of, words) => {
  if (words) troubles.set(of, words);
  else troubles.delete(of);
  const said = [...troubles.values()].join(" ");
  if (at("trouble").textContent !== said) at("trouble").textContent = said;
};

const readBoard = async () => {
  if (!withBoard) return;
  const answer = await fetch("/board");
  if (!answer.ok) {
    trouble("board", "The service does not answer; the fields are as they were last seen.");
    return;
  }
  board = await answer.json();
  trouble("board", "");
  setZone(board.now);
  for (const person of board.people) addPhone(person);
  if (!byHand) chooseFirst();
  at("season").textContent = board.season;
  at("now").textContent = `${day(board.now, "en")}, ${hour(board.now)}`;
  at("hour").textContent = hour(board.now);
  showFields(board.fields);
};

/** Where to read on: at the first text that may still change its state, else at the last one known. */
const readFrom = ({ lines }) => {
  const open = lines.findIndex((line) => line.state === "waiting");
  return open < 0 ? Math.max(0, lines.length - 1) : open;
};

const linesOf = async (number, from) => (await fetch(`/phones/${encodeURIComponent(number)}?after=${from}`)).json();

const readConversation = async (number) => {
  const phone = phones.get(number);
  let from = readFrom(phone);
  let fresh = await linesOf(number, from);
  if (from > 0 && fresh[0]?.id !== phone.lines[from].id) {
    // The carrier was started anew and remembers another conversation.
    from = 0;
    fresh = await linesOf(number, from);
  }
  if (JSON.stringify(fresh) === JSON.stringify(phone.lines.slice(from))) return;
  phone.lines.splice(from, phone.lines.length, ...fresh);
  if (number === chosen) showConversation(from);
};

const readPhones = async () => {
  const numbers = await (await fetch("/phones")).json();
  for (const number of numbers) {
    if (!phones.has(number)) addPhone({ name: number, phone: number, language: "en", roles: [] });
  }
  await Promise.all([...phones.keys()].map(readConversation));
};


addPhone(STRANGER);

let timer = 0;
let looking = false;
let again = false;

/** Looks at everything once, then again in a second, as long as somebody can see the page. */
const look = async () => {
  if (looking) {
    again = true;
    return;
  }
  looking = true;
  clearTimeout(timer);
  try {
    await readBoard();
    if (chosen === null) chooseFirst();
    await readPhones();
    trouble("carrier", "");
    showPeople();
    showExamples();
  } catch {
    trouble("carrier", "The stand-in carrier does not answer.");
  }
  looking = false;
  if (document.hidden) return;
  timer = setTimeout(look, again ? 0 : EVERY_MS);
  again = false;
};

at("draft").addEventListener("submit", (event) => {
  event.preventDefault();
  send();
});
text.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || event.shiftKey || event.isComposing) return;
  event.preventDefault();
  send();
});
text.addEventListener("input", () => {
  keypad.rest();
  counted();
});
at("clear").addEventListener("click", () => {
  keypad.rest();
  // As on a real phone: one press takes back one letter.
  const [start, end] = [text.selectionStart, text.selectionEnd];
  text.setRangeText("", start === end ? Math.max(0, start - 1) : start, end, "end");
  counted();
});
window.addEventListener("resize", () => {
  at("talk").scrollTop = at("talk").scrollHeight;
});
document.addEventListener("visibilitychange", () => {
  if (!document.hidden) look();
});

look();
