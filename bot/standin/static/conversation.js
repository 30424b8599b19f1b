/** A phone's conversation as bubbles, newest at the bottom. */
import { at, make, unseen } from "./elements.js";

const zone = /([+-])(\d\d):(\d\d)$/;
let offset = null; // minutes east of UTC, as the season's clock shows; null: this machine's

/** Lets times be said in the zone of the season's clock. */
export const setZone = (now) => {
  const found = zone.exec(now);
  if (found) offset = (found[1] === "-" ? -1 : 1) * (Number(found[2]) * 60 + Number(found[3]));
};

const local = (iso) => {
  const moment = new Date(iso);
  const east = offset ?? -moment.getTimezoneOffset();
  return new Date(moment.getTime() + east * 60_000);
};

/** An hour as people say it: 9:05 am. */
export const hour = (iso) => {
  const moment = local(iso);
  const hours = moment.getUTCHours();
  const minutes = String(moment.getUTCMinutes()).padStart(2, "0");
  return `${hours % 12 || 12}:${minutes} ${hours < 12 ? "am" : "pm"}`;
};

/** A day as people say it: Tue, Jul 6. */
export const day = (iso, language) =>
  new Intl.DateTimeFormat(language === "es" ? "es-MX" : "en-US", {
    weekday: "short",
    day: "numeric",
    month: "short",
    timeZone: "UTC",
  }).format(local(iso));

const bubble = (line, language, labels) => {
  const mine = line.direction === "out";
  const state = labels.states[line.state] ?? line.state;
  return make(
    "div",
    { class: `bubble ${mine ? "mine" : "theirs"}`, lang: language },
    unseen(`${mine ? labels.me : labels.them}: `),
    make("p", {}, line.text),
    make("small", {}, state ? `${hour(line.at)} · ${state}` : hour(line.at)),
  );
};

/** Shows the lines from `from` on anew, or all of them; stays at the bottom unless one has scrolled up. */
export const showLines = (lines, from, language, labels) => {
  const talk = at("talk");
  const near = talk.scrollHeight - talk.scrollTop - talk.clientHeight < 60;
  if (lines.length === 0) {
    talk.replaceChildren(make("p", { class: "empty" }, labels.empty));
    return;
  }
  const shown = [...talk.querySelectorAll("[data-line]")];
  if (from === 0) talk.replaceChildren();
  else for (const old of shown.slice(from)) old.remove();
  let before = from > 0 ? day(lines[from - 1].at, language) : "";
  for (const line of lines.slice(from)) {
    const today = day(line.at, language);
    const group = make("div", { "data-line": "" });
    if (today !== before) group.append(make("p", { class: "day" }, today));
    before = today;
    group.append(bubble(line, language, labels));
    talk.append(group);
  }
  if (near || from === 0) talk.scrollTop = talk.scrollHeight;
};
